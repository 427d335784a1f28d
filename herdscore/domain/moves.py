"""Cows moved from group to group on a day, and a group's name changed or joined to another: the changes to write."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.diets import Groups, group_key, groups_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.reasons import say_day
from herdscore.domain.records import GONE, Cow, Diet, Listed, Move, Ration, Round, new_id


@dataclass(frozen=True, slots=True)
class MovePlan:
    """A move ready to write: the change (None when nobody moves), who was where ("8 from Beck side"), who stays."""

    change: Change | None
    moved: int
    words: str


def moves_of(snapshot: Snapshot, cow_id: str) -> list[Move]:
    """Moves of one cow, by day."""
    rows = snapshot.records("moves", snapshot.of_cow("moves", snapshot.cow_place[cow_id]).tolist())
    return [row for row in rows if isinstance(row, Move)]


def spelled(groups: Groups, typed: str) -> str:
    """A group as the herd spells it already, else as typed with single blanks."""
    names = {group_key(name): name for name in groups.names if name is not None}
    return names.get(group_key(typed), " ".join(typed.split()))


def group_on(snapshot: Snapshot, groups: Groups, cow: int, day: date, today: date) -> str | None:
    """The group a cow stood in at the end of a day, None when it is not known."""
    at = (day - today).days
    mine = groups.stay_cow == cow
    here = mine & (groups.stay_from <= at) & (at < groups.stay_to)
    found = groups.stay_group[here]
    name = groups.names[int(found[0])] if len(found) else None
    moved = snapshot.of_cow("moves", cow)
    if name is None and (not len(moved) or snapshot.moves.day[moved[0]] > np.datetime64(today, "D")):
        # With no move, or moves ahead only, the register says where she stands.
        return groups.names[int(groups.now[cow])]
    return name


def move_rows(snapshot: Snapshot, groups: Groups, cow: Cow, to: str, day: date, today: date) -> list[RowChange]:
    """Rows by which a cow joins a group on a day; a move of that day is replaced, her group until then is kept."""
    place = snapshot.cow_place[cow.id]
    now = groups.names[int(groups.now[place])]
    moves = moves_of(snapshot, cow.id)
    of_day = [move for move in moves if move.day == day]
    if of_day:
        return [
            *(RowChange(move, None) for move in of_day[:-1]),
            RowChange(of_day[-1], replace(of_day[-1], group=to)),
        ]
    made = [RowChange(None, Move(new_id(), cow.id, day, to))]
    if now is not None and (not moves or moves[0].day > min(day, today)):
        # Until now the register alone said where she stood, all along; without a move the diets she had would be lost.
        made.insert(0, RowChange(None, Move(new_id(), cow.id, _known_since(snapshot, place, now, day, today), now)))
    return made


def _known_since(snapshot: Snapshot, cow: int, group: str, day: date, today: date) -> date:
    """The day from which her group is written down: its first diet, else her first score, else just before the move."""
    before = min(day, today + timedelta(days=1))
    key = group_key(group)
    mine = np.array([group_key(name) == key for name in snapshot.diets.group], dtype=bool)
    diets = [found for found in snapshot.diets.day[mine].tolist() if found < before]
    scores = [found for found in snapshot.scores.day[snapshot.of_cow("scores", cow)].tolist() if found < before]
    return min(diets or scores, default=before - timedelta(days=1))


def plan_move(snapshot: Snapshot, cows: Sequence[int], to: str, day: date, today: date) -> MovePlan:
    """Move cows (places in the herd) to a group on a day, as one change."""
    groups = groups_of(snapshot, today)
    rows: list[RowChange] = []
    where: list[str | None] = []
    stays = 0
    for record in snapshot.records("cows", cows):
        assert isinstance(record, Cow)
        place = snapshot.cow_place[record.id]
        stood = group_on(snapshot, groups, place, day, today)
        if stood is not None and group_key(stood) == group_key(to):
            stays += 1
            continue
        moves = move_rows(snapshot, groups, record, to, day, today)
        last_past = max((move.day for move in moves_of(snapshot, record.id) if move.day <= today), default=None)
        if day <= today and (last_past is None or last_past <= day) and record.group != to:
            rows.append(RowChange(record, replace(record, group=to)))
        rows.extend(moves)
        where.append(stood)
    moved = len(where)
    return MovePlan(
        Change("move cows", tuple(rows)) if rows else None, moved, _move_words(where, to, day, stays, today)
    )


def _move_words(where: list[str | None], to: str, day: date, stays: int, today: date) -> str:
    said = []
    if where:
        count = Counter(where)
        parts = [f"{n} from {name}" if name else f"{n} whose group was not known" for name, n in count.most_common()]
        when = "today" if day == today else f"on {say_day(day, today)}"
        verb = "goes" if len(where) == 1 else "go"
        said.append(f"{_cows(len(where))} {verb} to {to} {when}: {', '.join(parts)}.")
    if stays:
        said.append(f"{_cows(stays)} {'is' if stays == 1 else 'are'} there already.")
    return " ".join(said)


def strike_move(snapshot: Snapshot, move: Move, today: date) -> Change:
    """Take a move out; the register then says the group of her last move that is left."""
    cow = snapshot.record("cows", snapshot.cow_place[move.cow_id])
    assert isinstance(cow, Cow)
    left = [one for one in moves_of(snapshot, cow.id) if one.id != move.id and one.day <= today]
    rows = [RowChange(move, None)]
    if left and left[-1].group != cow.group:
        rows.insert(0, RowChange(cow, replace(cow, group=left[-1].group)))
    return Change("strike move", tuple(rows))


def edit_move(snapshot: Snapshot, before: Move, after: Move, today: date) -> Change | None:
    """Write a move anew, with the register's group when it is her last; None when nothing is different."""
    if before == after:
        return None
    cow = snapshot.record("cows", snapshot.cow_place[before.cow_id])
    assert isinstance(cow, Cow)
    moves = sorted([*(m for m in moves_of(snapshot, cow.id) if m.id != before.id), after], key=lambda move: move.day)
    past = [move for move in moves if move.day <= today]
    rows = [RowChange(before, after)]
    if past and past[-1].group != cow.group:
        rows.insert(0, RowChange(cow, replace(cow, group=past[-1].group)))
    return Change("edit move", tuple(rows))


def rename_group(snapshot: Snapshot, old: str, new: str) -> Change | None:
    """Call a group otherwise wherever it is written; into the name of another group it joins that one.

    Diets that both groups have alike are kept once. None when it is called so already.
    """
    key, name = group_key(old), " ".join(new.split())

    def is_it(text: str | None) -> bool:
        return text is not None and group_key(text) == key

    rows = [
        RowChange(row, replace(row, group=name))
        for table in ("cows", "moves")
        for row in snapshot.records(table)
        if isinstance(row, Cow | Move) and is_it(row.group) and row.group != name
    ]
    rows += _renamed_diets(snapshot, key, name)
    rows += _renamed_rations(snapshot, key, name)
    for row in snapshot.records("rounds"):
        assert isinstance(row, Round)
        word, _, covered = row.covers.partition(" ")
        after = replace(
            row,
            covers=f"{word} {name}" if word == "group" and is_it(covered) else row.covers,
            lean_pen=name if is_it(row.lean_pen) else row.lean_pen,
            fat_pen=name if is_it(row.fat_pen) else row.fat_pen,
        )
        rows += [RowChange(row, after)] if after != row else []
    listed = [row for row in snapshot.records("listed") if isinstance(row, Listed)]
    rows += [RowChange(row, replace(row, pen=name)) for row in listed if is_it(row.pen) and row.pen != name]
    return Change("rename group", tuple(rows)) if rows else None


def _renamed_diets(snapshot: Snapshot, key: str, name: str) -> list[RowChange]:
    diets = [row for row in snapshot.records("diets") if isinstance(row, Diet)]
    joined = group_key(name) != key
    there = {
        (row.day, row.kind, row.aim, row.expected_change)
        for row in diets
        if joined and group_key(row.group) == group_key(name)
    }
    rows = []
    for row in diets:
        if group_key(row.group) != key:
            continue
        twice = (row.day, row.kind, row.aim, row.expected_change) in there
        after = None if twice else replace(row, group=name)
        if after != row:
            rows.append(RowChange(row, after))
    return rows


def _renamed_rations(snapshot: Snapshot, key: str, name: str) -> list[RowChange]:
    """Rations under the new name; where the group joined has one from that day, that one stays."""
    rations = [row for row in snapshot.records("rations") if isinstance(row, Ration)]
    joined = group_key(name) != key
    there = {row.day for row in rations if joined and group_key(row.group) == group_key(name)}
    rows = []
    for row in rations:
        after = None if row.day in there else replace(row, group=name)
        if group_key(row.group) == key and after != row:
            rows.append(RowChange(row, after))
    return rows


def rename_words(snapshot: Snapshot, groups: Groups, old: str, new: str) -> str:
    """What calling a group otherwise would do, in a sentence; "" when nothing."""
    name = " ".join(new.split())
    if not name or name == old:
        return ""
    names = {group_key(one): place for place, one in enumerate(groups.names) if one is not None}
    place = names.get(group_key(name))
    if place is None or group_key(name) == group_key(old):
        return f"{old} is then called {name}, in everything written about it."
    other = groups.names[place]
    living = np.isin(groups.now, [place, names[group_key(old)]]) & ~np.isin(snapshot.cows.status, GONE)
    keys = [group_key(one) for one in snapshot.diets.group]
    both = group_key(old) in keys and group_key(name) in keys
    diets = " Both have diets: they stand in one list then, look them through." if both else ""
    return f"{old} joins {other}: {_cows(int(living.sum()))} then.{diets}"


def _cows(count: int) -> str:
    return f"{count} cow{'' if count == 1 else 's'}"
