"""The drawing: side view and plan of the truck and rig, painted from a verdict, with handles to drag.

Imports `look`, `documents`, `workers` and the engine; never `panels`.

Where a drag of the hook goes (any other handle goes the same way):

1. `view.DrawingView` finds the handle under the pointer and asks its owner (`app.shell.linked_views`) for a gesture;
   each mouse move reaches the gesture in metres, one move for each paint.
2. `gestures.Gesture.move` gives the pose the drag has come to: `gestures.dragged` calls one edit of the engine
   (`engine.shop.hook_following.hook_to`), which turns arms and slides the boom so that the hook follows.
3. The gesture shows that pose with `Document.preview_pose`: one evaluation, one signal. The verdict reaches
   `side.SideDrawing` and `plan.PlanDrawing`, which move their items. Release calls `Gesture.finish`: one undo step.

Where to look for the rest:

- what is drawn: `side` and `plan` (parts, moved with each verdict), `side_outlines` and `plan_outlines` (their shapes),
  `side_labels` (tags and dimensions of the side view), `arm_marks` (arcs and drift arrows in the plan)
- what is drawn on demand: `ghosts`, `reach_layer`, `measures`
- what they are made of: `marks`, `handles`, `shapes`, `style`; `declutter` keeps tags off each other
- pixels, millimetres and metres: `transform`; grid, zoom and pointer: `view`; rulers: `ruler`
"""
