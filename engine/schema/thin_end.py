"""A rig at its thin end: every weld leg as small and every tube wall as thin as it may be, for strength alone.

The worst case is that of the rig at its thin end (``engine.worst_case.recorded_formulas``).  Sizes, weights and bending
stay as entered, and so does all that asks what stands where: a smaller leg must not find room on a ledge that the leg
entered has none on.  So the entries stay in their places, and their types say that strength counts less of them: how
much, `Weld` and ``engine.schema.steel`` say.
"""

from __future__ import annotations

import functools
from typing import Any, ClassVar, TypeVar

import msgspec

from engine.base.identity import IdentityKey
from engine.schema.connections import Weld
from engine.schema.model import Job, Rig
from engine.schema.sections import RectTube, RoundTube


class ThinWeld(Weld, kw_only=True, frozen=True):
    """A weld at its thin end; never part of a file."""

    at_thin_end: ClassVar[bool] = True


class ThinRectTube(RectTube, kw_only=True, frozen=True):
    """Square or rectangular tube at its thin end; never part of a file."""

    at_thin_end: ClassVar[bool] = True


class ThinRoundTube(RoundTube, kw_only=True, frozen=True):
    """Round tube at its thin end; never part of a file."""

    at_thin_end: ClassVar[bool] = True


_THIN: dict[type[Any], type[Any]] = {Weld: ThinWeld, RectTube: ThinRectTube, RoundTube: ThinRoundTube}
_ENTERED = {thin: entered for entered, thin in _THIN.items()}

Part = TypeVar("Part")


def thin_end(job: Job) -> Job:
    """The job with its rig at the thin end; the same rig again as long as the job's is the same."""
    return msgspec.structs.replace(job, rig=_thin_rig(IdentityKey(job.rig)))


def as_entered(part: Part) -> Part:
    """A part of a rig at its thin end as it was entered; any other part itself."""
    return _entered_part(IdentityKey(part))


@functools.lru_cache(maxsize=16)
def _thin_rig(same: IdentityKey[Rig]) -> Rig:
    (rig,) = same.parts
    parts = {name: getattr(rig, name) for name in rig.__struct_fields__}
    return Rig(**{name: _thin_part(IdentityKey(part)) for name, part in parts.items()})


@functools.lru_cache(maxsize=64)
def _thin_part(same: IdentityKey[Any]) -> Any:
    """Parts that an edit of another part leaves as they are need no second walk."""
    (part,) = same.parts
    return _with_kinds(part, _THIN)


@functools.lru_cache(maxsize=64)
def _entered_part(same: IdentityKey[Any]) -> Any:
    (part,) = same.parts
    return _with_kinds(part, _ENTERED)


def _with_kinds(part: Any, kinds: dict[type[Any], type[Any]]) -> Any:
    """A part with everything in it, whatever it is called, of the kind that stands for its own; or itself."""
    if isinstance(part, tuple):
        parts = tuple(_with_kinds(one, kinds) for one in part)
        return part if all(new is one for new, one in zip(parts, part, strict=True)) else parts
    if not isinstance(part, msgspec.Struct):
        return part
    fields = {name: getattr(part, name) for name in part.__struct_fields__}
    changed = {name: _with_kinds(value, kinds) for name, value in fields.items()}
    kind = kinds.get(type(part), type(part))
    if kind is type(part) and all(changed[name] is value for name, value in fields.items()):
        return part
    return kind(**changed)
