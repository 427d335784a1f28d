"""What is said of a ration typed by hand: how many it brings into the band, its steps, and why it cannot be begun."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.check_words import named
from herdscore.domain.energy import Numbers
from herdscore.domain.fed_groups import FedGroup
from herdscore.domain.feeds import Feeds
from herdscore.domain.need import CowsFed
from herdscore.domain.ration_by_hand import Tried
from herdscore.domain.ration_checks import State
from herdscore.domain.ration_form import ReadRation
from herdscore.domain.reasons import say_day
from herdscore.pages.cow_words import say_cows
from herdscore.parts.fed_drawing import FedPicture, FedStrip

NOT_KNOWN = "Say first what they get now: write it in the lines and press They get this now."
_MOST_STEPS = 4


def fed_picture(group: FedGroup, tried: Tried, band: float) -> FedPicture:
    """The strips of a group's cows: now, at calving fed as now where that is known, at calving with the ration."""
    cows = group.cows
    held = cows.calving_day < 0
    for tag in tried.not_to_change:
        held = held | (cows.tag == tag)
    count = int(tried.in_band.sum())
    known = bool(np.isfinite(tried.score_as_now).all())
    before = int(tried.in_band_as_now.sum())
    strips = [FedStrip("now", cows.score - cows.target, ("dot",) * len(cows))]
    if known:
        words = f"{before} of {len(cows)}\nin the band"
        less = tried.score_as_now - cows.target
        strips.append(FedStrip("at calving,\nfed as now", less, _marks(cows, tried.score_as_now, held), words))
    words = f"{count} of {len(cows)}\nin the band"
    less = tried.score - cows.target
    strips.append(FedStrip("at calving,\nthis ration", less, _marks(cows, tried.score, held), words))
    title = f"This ration brings {count} of {len(cows)} into the band" + (f" instead of {before}" if known else "")
    under = "Each cow's score less target. A line follows her from now to calving."
    return FedPicture(title, under, tuple(str(tag) for tag in cows.tag), tuple(strips), band)


def _marks(cows: CowsFed, score: Numbers, held: np.ndarray) -> tuple[str, ...]:
    made = np.full(len(cows), "dot", dtype=object)
    made[score < cows.lower] = "now_up"
    made[score > cows.upper] = "now_down"
    made[held] = "square"
    return tuple(made.tolist())


def names_words(tried: Tried) -> str:
    """Who is still thin, who would be fat, and who is not to be changed, by name."""
    said = []
    if tried.still_thin:
        said.append(f"Still thin: {named(tried.still_thin)}.")
    if tried.would_be_fat:
        said.append(f"Would be fat: {named(tried.would_be_fat)}. Keep them off it.")
    if tried.not_to_change:
        said.append(f"Not to change, too near calving: {named(tried.not_to_change)}.")
    return "\n".join(said)


def jump_words(tried: Tried, feeds: Feeds, present: Numbers | None, a: Assessment) -> tuple[str, str]:
    """A jump refused in place, and the steps it is turned into; nothing for one gentle step."""
    if present is None or tried.held_back_by is None:
        return "", ""
    change = (tried.steps[-1].ration - present) / feeds.dm
    change = np.where(feeds.is_dosed, 0.0, change)
    place = int(np.argmax(np.abs(change * feeds.dm * feeds.me)))
    first = float((tried.largest[place] - present[place]) / feeds.dm[place])
    name = str(feeds.name[place])
    more = "more" if change[place] > 0 else "less"
    claim = f"{abs(change[place]):.1f} kg {more} {name} at once is refused: a crash change"
    dry = abs(first) * float(feeds.dm[place])
    most = (
        f"The most is {abs(first):.1f} kg fresh ({dry:.1f} kg DM) a step, {a.rulebook.feeding.step_days:g} days apart."
    )
    days = [say_day(a.day(step.day), a.today) for step in tried.steps]
    shown = ", ".join(days[:_MOST_STEPS]) + (f" … {days[-1]}" if len(days) > _MOST_STEPS else "")
    said = f"{most} It becomes {len(days)} steps: {shown}."
    if not tried.arrives:
        said += " They do not get there before the return to need."
    return claim, said


def why_not_begin(
    group: FedGroup | None, tried: Tried | None, read: ReadRation, days: float | None, *, known: bool
) -> str:
    """Why a ration cannot be begun as a change, in a sentence; empty when it can."""
    if group is None or not len(group.cows) or not read.is_good or days is None:
        return ""
    if not group.name:
        return "Cows without a group cannot be fed as one: give them a group first."
    if not known:
        return NOT_KNOWN
    if days < 0:
        return "A change begins today or later."
    if tried is None:
        return ""
    if tried.not_to_change:
        count, tags = say_cows(len(tried.not_to_change)), named(tried.not_to_change)
        return f"{count} too near calving to begin a change ({tags}): pen them apart on the tab Plan."
    refused = [check for check in tried.checks if check.state is State.REFUSED]
    if refused:
        return f"Refused: {_listed([check.limit.value for check in refused])}. Change the amounts."
    if not tried.arrives:
        return "Its steps do not get there before the return to need: change it less."
    return ""


def _listed(words: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(words))
