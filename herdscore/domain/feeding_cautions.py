"""The cautions that apply to a group and the ration it gets or is to get."""

from __future__ import annotations

from herdscore.domain.energy import Numbers
from herdscore.domain.feeds import STRAW, Feeds
from herdscore.domain.need import CowsFed
from herdscore.domain.ration_checks import OF_ELEMENT, State, mineral_checks
from herdscore.domain.rulebook import Rulebook

_MOST_NAMED = 6


def cautions(cows: CowsFed, feeds: Feeds, ration: Numbers | None, rules: Rulebook) -> list[tuple[str, str]]:
    """Word and sentence of each caution, those about life first; what is always said comes last.

    `ration` is kg dry matter a head a day by feed, [F]; None where none is known.
    """
    keys: list[str] = []
    if (cows.score > cows.upper).any():
        keys.append("fat")
    if cows.twins.any():
        keys.append("twins")
    if ration is not None:
        if ration[feeds.is_concentrate].sum() > rules.feeding.concentrate_step:
            keys.append("concentrate")
        if ration[feeds.kind == STRAW].sum() > ration[feeds.is_forage & (feeds.kind != STRAW)].sum():
            keys.append("straw")
        near = [check for check in mineral_checks(feeds, ration, rules.minerals) if check.limit in OF_ELEMENT.values()]
        if any(check.state is not State.FINE for check in near) or (feeds.is_dosed & (ration > 0)).sum() > 1:
            keys.append("minerals")
    keys += ["space", "always"]
    tags = [str(tag) for tag in cows.tag[cows.twins]]
    named = ", ".join(tags[:_MOST_NAMED]) + (f" and {len(tags) - _MOST_NAMED} more" if len(tags) > _MOST_NAMED else "")
    numbers = {
        "cows": named,
        "verb": "carries" if len(tags) == 1 else "carry",
        "step": rules.feeding.concentrate_step,
        "days": rules.feeding.step_days,
    }
    said = rules.feeding_cautions
    return [(said[key].word, said[key].say.format_map(numbers)) for key in keys]
