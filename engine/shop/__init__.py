"""What happens in the shop: editing the job, measuring the truck, a trial lift, a first rig, the cut list.

Imports everything up to `handling`.
"""
