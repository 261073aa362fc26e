"""The built-in guide: a page for each stage of the job, and what words, states and limits mean."""

from __future__ import annotations

from typing import NamedTuple


class Page(NamedTuple):
    """One page, in Markdown; ``stage`` is the stage that it opens for."""

    title: str
    text: str
    stage: str = ""


PAGES: tuple[Page, ...] = (
    Page(
        "The job in ten minutes",
        """
# The job in ten minutes

1. **Truck**: enter the plate as it is stamped. Weigh the axles if you can; tape the wheelbase and the distance from
the front axle to the fork face. Say how you know each number.
2. **Build**: enter every part from the sleeves to the hook, with its joints. Walls by caliper, welds by gauge.
3. **Place**: measure slope and side slope where the truck will stand. Enter ceilings, beams, doors and power lines.
4. **Pick**: enter the load, its size, its rigging. Pull the rig into the pose, or type it.
5. **Why**: read what gives first, and what would help.
6. **Papers**: print the pick sheet, sign it, and keep the helper card in sight.

Each stage shows what it still lacks. **F4** goes to the next missing entry, **Shift+F4** back.

WITHIN means that everything on the load path was entered and checked, nothing entered is in the way and nothing
contradicts itself. It does not replace the truck maker's written approval, local law or a licensed engineer's work.
Never lift people. Never stand under a load.
""",
    ),
    Page(
        "1 Truck: what holds it down",
        """
# 1 Truck: what holds it down

**Plate as stamped.** Rated load, load centre and lift height of each row. Without a plate there is no allowed load:
the truck's dealer can give the figures from model and serial number.

**Weigh and tape.** Axle by axle on a scale is best. Where a scale takes only the whole truck, enter that. A known
weight on bare forks tells how the truck stands. A trial lift compares the rear weight read with the one worked out.

**How known.** A weighed number has a narrow band, a guess a wide one. Every verdict takes each number at its worse
end. Typical values are start values: measure them.

**Forks.** Wear at the heel takes strength away: 10 % is the end of a fork. Enter the stamp on the fork's side.
""",
        "Truck",
    ),
    Page(
        "2 Build: what it is made of",
        """
# 2 Build: what it is made of

Follow the load from the forks to the hook: sleeves and cross-member, jib mast, saddles and bed, boom and its pin,
arms and hinges, hook and gear. The picture over the fields shows which number is which; a click on a letter goes to
its field.

A joint that is not entered is a hollow flag on the drawing, and the pose stays NOT PROVEN.

**Steel of unknown grade** counts with a low yield. **Wall from** says how the wall is known: a caliper reading is
worth more than a list. **Rust** is entered once, as wall lost.

**Steel to hand** finds the lightest rig from the lengths you have. **As built** compares what was made with the
drawing.
""",
        "Build",
    ),
    Page(
        "3 Place: where it stands",
        """
# 3 Place: where it stands

**Slope** runs along the truck: plus is down to the front. **Side slope** runs across: plus is down to the left.
Measure with a long level and a feeler, or with a phone level at four spots. 0.5 in/ft, 2.4 degrees and 4.2 % are
the same slope.

**What stands round.** Ceiling, beams, door heads, walls, benches, power lines. Boxes are measured from the front
axle, the centreline and the floor. What is not entered is not checked: look up.

**Stay-clear circle.** A load or rig that falls stays inside it. Nobody stands there.
""",
        "Place",
    ),
    Page(
        "4 Pick: what is lifted, and how it stands",
        """
# 4 Pick: what is lifted, and how it stands

**Load** is the thing lifted. **Rigging** is everything between the rig's hook and the load. **Hook load** is both.

Pull any part on the drawing: the load takes the hook along, the boom slides from hole to hole, an arm turns, the
forks go up and down, the upright tilts. What it comes to stands beside the pointer. **Esc** puts it back,
**Ctrl+Z** undoes.

**Hook to a point** finds the ways to bring the hook there. **Move A to B** follows the whole way. Its ribbon stands
under the drawing in the plan's place: the bands of **RIG** and **TRUCK** reach from the use as entered up to the worst
case, the line is all that is allowed, and the worst point is flagged. Press or pull on the ribbon: drawing, verdict and
helper view show the rig at that place. **Esc** leaves the move; **Show the plan** brings the plan back. How the truck
creeps holds for every stretch; choose one stretch over the entries to say what is otherwise there.
**By hand** tells what an arm does when it is let go, and what one person can push.

**View > Where the hook may be** (Ctrl+R) shades the drawing: dots where the load may hang, slanted lines where it may
not. Large cells come first, smaller ones take their place. A cell is dotted only if all of it holds. **Stop** or
**Esc** keeps the cells that have come. Grey cells are from before the last change.

Do not travel with the load raised. Work the levers smoothly.
""",
        "Pick",
    ),
    Page(
        "5 Why: what gives first",
        """
# 5 Why: what gives first

Two bars on one scale: **RIG** from sleeves to hook, **TRUCK** for balance, plate, approval, forks and floor. A bar
reaches to the worst case; the tick is the use with every number as entered; the line is all that is allowed. The
larger bar gives first. **ROOM** is the smallest gap.

**Make it pass** finds the smallest changes of parts that bring the pose within its limits: the next plate, pin, weld
or tube, one part first, then up to four. A click makes the change; Undo takes it back.

**Every limit** lists all of them with their sums and sources. **Doubt** draws a bar for each uncertain entry: the
longer, the more it costs; the arrow says what measuring it would bring the worst case to. **Load chart** draws the
allowed load against reach, a curve for each arm pose, and lists it hole by hole; click a mark or a cell to stand there.
Its curves stand in the plan's place; **Ctrl+Enter** gives them the whole drawing's place, and again takes it back.

**Rear wheels and tip-up** draws what more load leaves on the rear wheels, as entered and in the worst case, down to
the load that tips the truck. Hatched is more than may hang. The second curve is what still brings the truck back once
it tips. The limit is the first lift of a rear wheel; that curve is only why it goes so fast. Neither is ever printed.

**Rules used** are the allowances: how hard a load pulls as it starts and stops, how far it swings, how far the
truck leans.
""",
        "Why",
    ),
    Page(
        "6 Papers: print, sign, send",
        """
# 6 Papers: print, sign, send

Every paper is of the pose shown. All of them say PLANNING ONLY until the maker's approval is entered.

Ctrl+P lists the papers and the drawing with a preview, to print them or to write them as PDF.

* **Pick sheet**: this pick, to sign before the lift.
* **Helper card**: what the helper watches, and when to stop.
* **Load placard**: allowed loads by hole and hook height.
* **Build sheet**: what to cut, drill and weld.
* **Approval request**: the letter to the truck maker.
* **Drawing to scale**: side view and plan, to be measured with a ruler. Check the bar under it first: a printer may
  have changed the scale.
* **Proof-load plan and record**, **hand-check sheet**, **log**.

File > Save a picture takes one view, both, the load chart or the helper view. PDF and SVG have a drawing scale, such as
1:25 or 1/2 in = 1 ft; PNG is as fine as you choose.
""",
        "Papers",
    ),
    Page(
        "Words",
        """
# Words

* **As entered**: every number as you typed it. **Worst case**: every number at its worse end, all at once.
* **Upright**: the truck's own lifting frame. **Jib mast**: the standing tube of the rig.
* **Saddles**: the two straps that the boom slides in. **Tail**: the boom's end behind the jib mast.
* **Hole 1** is nearest the tail: pinned there, the boom stands furthest out.
* **Reach** is from the front axle to the hook. **From fork face** is what a tape measures.
* **Lightest front wheel**: the front wheel with less weight on it. At nothing the truck goes over sideways.
* **Rear wheels**: at nothing the truck goes over forwards. If the rear feels light, it is already too late.
""",
    ),
    Page(
        "States",
        """
# States

* **WITHIN**: every limit and every gap is met, in the worst case too, and every part of the load path was entered.
* **NOT PROVEN**: it may hold, but the worst case does not pass, a part is not entered, an entry is hardly right, or
  the plate does not cover it. The block says which, and leads to the entry.
* **OVER**: over a limit with every number as entered, or something is in the way.
* **REFUSED**: a fact is missing, entries contradict each other, or the pose cannot be. There is no allowed load.
""",
    ),
    Page(
        "Limits of this program",
        """
# Limits of this program

It is a planning aid. It works out statics, with simple allowances for levers, swing, braking and lean. It does not
look at fatigue, cold steel, fire, ground pressure, wind other than as swing, the strength of the upright, chains
and tilt rams beyond the truck's plate, or at anything you did not enter.

Arithmetic is not inspection. Welds, pins and steel need a qualified person. A change of a truck's load handling
needs the truck maker's written approval. Local law and licensed practice come first.

Every list of limits ends with what is **not checked**. Read it.
""",
    ),
    Page(
        "Typing numbers",
        """
# Typing numbers

A bare number is in the unit beside the field, always. With a unit it may be anything: `2.6 m`, `8-6 1/2`, `8' 6
1/2"`, `94½"`, `1/4`, `60 thou`, `16 ga`, `408 lb`, `2.4 deg`, `0.5 in/ft`.

While you type, the line under the field says what will be taken. What is unlikely is asked about, with buttons for
what may have been meant. A click on the unit turns one field to the other units.

A size keeps the name you typed, such as `5/16 in` or `20 mm`. In the other units the name stands beside the number,
and papers print it first.

The chip beside a number says how it is known: weighed, weighbridge, plate, papers, taped, worked out, like another,
typical, guess. A click on it, or Enter, opens the choice, the least and the most the number could be, and how near a
shop could come to it. Esc closes it. The worst case takes the least or the most, whichever is worse.

**missing!** is an empty field without which there is no verdict. A part that may be left out has a box: ticked, it is
entered.

Emptying a field that may be empty says that the number is not known. Not known never counts as nought.
""",
    ),
)


def page_for(stage: str) -> int:
    """Number of the page of a stage; the first one where there is none."""
    return next((at for at, page in enumerate(PAGES) if page.stage == stage), 0)
