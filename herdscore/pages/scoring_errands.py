"""What is done beside scoring: a tag that was read, a tag of nobody put to a cow, a score kept to one side matched."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from herdscore.domain import eid
from herdscore.domain.asides import adding_her, asides_of, matching, replaces, striking_aside
from herdscore.domain.changes import Change
from herdscore.domain.eid import Kind, Reading
from herdscore.domain.pairing import likely_cow, pair, pairing
from herdscore.domain.records import GONE, Aside
from herdscore.domain.scale import show
from herdscore.domain.scored import quarters_of
from herdscore.pages.scoring_words import Said, short_tag

if TYPE_CHECKING:
    from herdscore.pages.scoring_work import ScoringWork


@dataclass(frozen=True, slots=True)
class Errand:
    """A cow is looked for to be given an electronic tag, or a score kept to one side; `sure_of`: asked once already."""

    code: str = ""
    aside: Aside | None = None
    sure_of: str = ""

    @property
    def claim(self) -> str:
        """What it is about."""
        if self.aside is not None:
            return f"Who is {short_tag(self.aside.tag)}?"
        return f"{eid.show(self.code)} is no cow's yet"

    def does(self, tag: str) -> str:
        """What Enter will do with a cow."""
        return f"Enter gives {short_tag(tag)} {'the score' if self.aside is not None else 'this tag'}."


class Errands:
    """Errands of the scoring page; nothing here scores a cow."""

    def __init__(self, work: ScoringWork) -> None:
        self._work = work
        self.now: Errand | None = None

    @property
    def asides(self) -> list[Aside]:
        """Scores kept to one side."""
        return asides_of(self._work.herd.snapshot)

    def drop(self) -> None:
        """Leave it."""
        self.now = None

    def read(self, number: str) -> None:
        """A stick reader read a tag: bring her up."""
        work, book = self._work, self._work.flow.book
        found = eid.read(number)
        is_eid = isinstance(found, Reading) and found.kind is Kind.EID
        cow = book.of_eid(number) if is_eid else book.of_tag(number)
        entry, cows = work.entry, work.herd.snapshot.cows
        tag = eid.show(number) if cow is None else short_tag(str(cows.tag[cow]))
        if entry is not None and cow is not None and entry.cow_id == cows.id[cow]:
            work.say(Said(f"{tag} was read", "She is the one shown here."))
        elif entry is not None and entry.is_changed:
            work.say(Said("Save this cow first", f"{tag} was read. Or leave her with Skip.", firm=True))
        elif cow is not None and cows.status[cow] in GONE:
            work.find(str(cows.tag[cow]))
        elif cow is not None:
            if self.now is not None and self.now.code:
                self.drop()
            work.take(cow)
        elif is_eid and work.herd.can_write:
            self._begin_pairing(number)
        else:
            work.find(eid.show(number))

    def repeated(self, number: str) -> None:
        """The same tag was read again within seconds."""
        self._work.say(Said("The same tag again", "It was read a moment ago and counts once."))

    def garbled(self, text: str, why: str) -> None:
        """A reader said what is no tag."""
        self._work.say(Said("The reader did not say a tag", f"{why[:1].upper()}{why[1:]}. Read it again.", firm=True))

    def _begin_pairing(self, number: str) -> None:
        work = self._work
        snapshot, entry = work.herd.snapshot, work.entry
        place = likely_cow(snapshot, number) if entry is None else work.cow
        work.find("" if place is None else str(snapshot.cows.tag[place]))
        self.now = Errand(code=number)
        work.say(None)

    def begin_matching(self, aside: Aside) -> None:
        """Look for the cow a score kept to one side is of; cows with nearly that tag are shown."""
        self._work.find(aside.tag)
        if self._work.entry is None:
            self.now = Errand(aside=aside)
            self._work.say(None)

    def add(self, aside: Aside) -> None:
        """She is new to the herd."""
        tag = short_tag(aside.tag)
        self._push(adding_her(self._work.herd.snapshot, aside), f"add {tag}", Said(f"{tag} is in the herd now", ""))

    def strike(self, aside: Aside) -> None:
        """Throw a score kept to one side away; undo brings it back."""
        tag = short_tag(aside.tag)
        said = Said(f"The score of {tag} is thrown away", "Undo brings it back.")
        self._push(striking_aside(aside), f"throw away {tag}", said)

    def taken(self, cow: int) -> bool:
        """A cow was taken: whether an errand was done with her, or asked about, so that she is not to be scored."""
        errand = self.now
        if errand is None:
            return False
        cow_id = str(self._work.herd.snapshot.cows.id[cow])
        if errand.aside is not None:
            self._match(errand, errand.aside, cow_id)
            return True
        return self._pair(errand, cow_id)

    def _pair(self, errand: Errand, cow_id: str) -> bool:
        work = self._work
        snapshot, book = work.herd.snapshot, work.flow.book
        looked = pairing(snapshot, book, errand.code, cow_id)
        tag = self._tag(cow_id)
        if looked.has and errand.sure_of != cow_id:
            self.now = replace(errand, sure_of=cow_id)
            work.said = Said(f"{tag} has {eid.show(looked.has)}", "Enter once more gives her the new one.", firm=True)
            return True
        self.drop()
        if not looked.is_possible or not work.herd.push(
            pair(snapshot, book, errand.code, cow_id), f"give {tag} the tag {eid.show(errand.code)}"
        ):
            return True
        work.begin(cow_id)
        work.said = Said(f"{tag} has this tag now", "Nothing else is changed. Score her, or Esc.")
        return True

    def _match(self, errand: Errand, aside: Aside, cow_id: str) -> None:
        work, tag = self._work, self._tag(cow_id)
        old = replaces(work.herd.snapshot, aside, cow_id)
        was = None if old is None else quarters_of(old)
        if old is not None and errand.sure_of != cow_id:
            self.now = replace(errand, sure_of=cow_id)
            given = "not scored" if was is None else show(was)
            work.said = Said(f"{tag} has {given} of that day", "Enter once more replaces it.", firm=True)
            return
        self.drop()
        change = matching(work.herd.snapshot, aside, cow_id)
        work.flow.next_cow()
        self._push(change, f"match {short_tag(aside.tag)} to {tag}", Said(f"{tag} has the score now", ""))

    def _push(self, change: Change, words: str, said: Said) -> None:
        self._work.say(said if self._work.herd.push(change, words) else None)

    def _tag(self, cow_id: str) -> str:
        snapshot = self._work.herd.snapshot
        return short_tag(str(snapshot.cows.tag[snapshot.cow_place[cow_id]]))
