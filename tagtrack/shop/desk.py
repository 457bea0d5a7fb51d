"""The shop and its work orders, opened: what is true now, and the one way to add to it.

Every verb is a function from what is true to events. `commit` runs it on the newest picture, folds the act before
it is written (so that what cannot be is refused while nothing has happened), appends it, and only then answers. When
somebody else wrote in between, the verb is run again on the newer picture.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.errors import Conflict, Damaged, Refusal
from tagtrack.core.events import Act, Event, Head, Installed, JobOpened, Lost, Planned, TagBound, TagsIssued, TakenOff
from tagtrack.core.exchanges import Solve, nothing_matched
from tagtrack.core.fold import advance, fold
from tagtrack.core.index import Index
from tagtrack.core.records import PartOff, TagEnd, TagRole
from tagtrack.core.reversal import refolded, undoes
from tagtrack.core.shopbook import ShopState, extend, fold_shop
from tagtrack.core.spelling import nearest
from tagtrack.core.state import State
from tagtrack.core.tagcode import BODY, issuable, with_check
from tagtrack.shop.deciding import TRIES, Decide, as_act, decided, signed_off, too_busy
from tagtrack.shop.ports import Means, Record, Records, Who

# so many codes are set aside for a job at a time; one line in the shop's record each time
RESERVE = 64


class Shop:
    """The shop's own record: people, tags given out, places, jobs."""

    def __init__(
        self, records: Records, means: Means, knowledge: Decoder = NOTHING_KNOWN, solve: Solve = nothing_matched
    ) -> None:
        self.records = records
        self.means = means
        # of standard hardware
        self.knowledge = knowledge
        # what explains shorts and leftovers together
        self.solve = solve
        self._record = records.shop()
        self._acts: tuple[Act, ...] = ()
        self._state = ShopState()

    @property
    def state(self) -> ShopState:
        """What the shop's record says now."""
        acts = self._record.acts()
        if not self._knows(acts):
            known = len(self._acts)
            if known and (len(acts) < known or acts[known - 1] is not self._acts[-1]):
                raise Damaged(
                    "the shop's own record was exchanged for another one while this was running",
                    expected=f"one that goes on behind step {self._acts[-1].id}", came=f"one of {len(acts)} steps",
                    todo="end the program, see that the right record is in place, and begin anew",
                )  # fmt: skip
            fresh = acts[known:]
            if any(map(undoes, fresh)):
                self._state = fold_shop(acts)
            else:
                # in place: of thousands of work orders, a picture of its own for each line would be felt
                extend(self._state, fresh)
            self._acts = tuple(acts)
        return self._state

    def _knows(self, acts: Sequence[Act]) -> bool:
        return len(acts) == len(self._acts) and (not acts or acts[-1] is self._acts[-1])

    def head(self) -> Head:
        """Return how far the shop's record goes."""
        return self._record.head()

    def commit(self, who: Who, make: Callable[[ShopState], Sequence[Event]]) -> Act:
        """Record what `make` decides on the newest picture; run it again where somebody wrote in between."""
        for _ in range(TRIES):
            state = self.state
            expected = self._record.head().seq
            if not self._knows(self._record.acts()):
                continue
            act = as_act(self.means, who, tuple(make(state)))
            # whatever does not belong into the shop's own record is refused while nothing has happened
            fold_shop((act,))
            try:
                self._record.append(act, expected)
            except Conflict:
                continue
            return act
        raise too_busy()

    def issue(self, who: Who, count: int, job: str = "") -> tuple[str, ...]:
        """Give out so many fresh codes, to a job or as blanks, and return them."""

        def make(state: ShopState) -> Sequence[Event]:
            fresh: dict[str, None] = {}
            while len(fresh) < count:
                body = self.means.new_body()
                if issuable(body) and body not in state.issued:
                    fresh[with_check(body)] = None
            return (TagsIssued(tuple(fresh), job),)

        event = self.commit(who, make).events[0]
        assert isinstance(event, TagsIssued)  # noqa: S101 - made three lines above
        return event.codes

    def open(self, name: str) -> Job:
        """Return the work order of that name; refuse an unknown one, offering the nearest."""
        if name not in self.state.jobs:
            near = nearest(name, self.state.jobs)
            raise Refusal(
                f"there is no work order '{name}'",
                expected=", ".join(list(self.state.jobs)[-5:]) or "a work order opened before",
                came=name or "nothing",
                todo=f"did you mean {near[0]}?" if near else "open one: tagtrack open JOB REGISTRATION",
            )
        job, told = Job(self, name, self.records.job(name)), self.state.jobs[name]
        if job.state.job not in (None, told):
            raise Damaged(
                f"the record of {name} is not of the work order that this shop opened under that name",
                expected=f"{told.registration}, {told.task or 'no task'}",
                came=f"{job.opened().registration}, {job.opened().task or 'no task'}",
                todo="put the right file in its place: look for it in a backup; nothing is recorded meanwhile",
            )
        return job


class Job:
    """One work order on the bench."""

    def __init__(self, shop: Shop, name: str, record: Record) -> None:
        self.shop = shop
        self.name = name
        self._record = record
        self._acts: list[Act] = []
        self._state = State()
        self._head = record.head()
        # the tags that the first so many acts gave a meaning
        self._bound: set[str] = set()
        # the highest number that a part, a joint and a loss ever had
        self._highest = {"p": 0, "j": 0, "L": 0}
        self._looked = 0
        self.refresh()

    @property
    def knowledge(self) -> Decoder:
        """What the shop knows of standard hardware."""
        return self.shop.knowledge

    def index(self) -> Index:
        """Return the present picture as the checks ask it."""
        return Index.of(self._state, self.knowledge)

    @property
    def acts(self) -> Sequence[Act]:
        """Every act of the work order, oldest first."""
        return self._acts

    @property
    def state(self) -> State:
        """What the record says, as of the last `refresh` or commit."""
        return self._state

    @property
    def head(self) -> Head:
        """How far the record went at the last `refresh` or commit."""
        return self._head

    def refresh(self) -> State:
        """Read what others have added since, and return what is true now.

        Where another record was put in the place of the one that was read, that is read from its beginning, and refused
        once: whoever works must see that the picture is another.
        """
        head = self._record.head()
        # the record hands out the same head until something is written
        if (head is not self._head and head != self._head) or not self._acts:
            acts = self._record.acts()
            if not self._record.goes_through(self._head):
                raise self._exchanged(acts, head)
            fresh = list(acts[len(self._acts) :])
            if self._acts and not any(map(undoes, fresh)):
                for act in fresh:
                    self._state = advance(self._state, act)
            else:
                self._state = fold(acts)
            self._acts.extend(fresh)
            self._head = head
        return self._state

    def _exchanged(self, acts: Sequence[Act], head: Head) -> Refusal:
        """Take in another record, and return what to tell; codes and numbers that were given out stay given out."""
        self._ever()
        before = self._head
        self._state, self._acts, self._head, self._looked = fold(acts), list(acts), head, 0
        return Refusal(
            f"the record of {self.name} was exchanged for another one; nothing was recorded",
            expected=f"one that goes on behind record check number {before}", came=f"one that ends with {head}",
            todo="look at what is there now: status; what was said since must be said again",
        )  # fmt: skip

    def commit(self, who: Who, *decides: Decide, after_sign_off: bool = False) -> Act:
        """Record as one act what is decided on the newest picture; run it again where somebody wrote in between.

        Several decisions are taken one after the other, each on the picture that those before it would leave. They
        are recorded all together or not at all.
        """
        for _ in range(TRIES):
            # together, and now: a decision may look again at what others did, and must not be written on top of that
            state, expected = self._state, self._head.seq
            try:
                if state.signed is not None and not after_sign_off:
                    raise signed_off(self.name)
                act, after = decided(state, as_act(self.shop.means, who, ()), decides)
            except Refusal:
                # on a picture that others have changed since, a refusal means nothing
                if self.refresh() is state:
                    raise
                continue
            self.shop.means.allow(act, self._acts)
            if undoes(act):
                after = refolded(self._acts, act)
            try:
                head = self._record.append(act, expected)
            except Conflict:
                self.refresh()
                continue
            self._acts.append(act)
            # not the head of now: what others have written since is taken in at the next look
            self._state, self._head = after, head
            return act
        raise too_busy()

    def code(self, who: Who, state: State, *, skip: frozenset[str] = frozenset()) -> str:
        """Return a code set aside for this job that is not in use yet; set more aside where none is left."""
        for _ in range(2):
            shop = self.shop.state
            # also what was undone: its tag may have been printed; a blank that was taken is printed, used or not
            bodies = {tag[:BODY] for tag in (*state.tags, *skip, *self._ever())} | shop.claimed
            for body in shop.issued_to.get(self.name, ()):
                if body not in bodies and with_check(body) not in shop.void:
                    return with_check(body)
            self.shop.issue(who, RESERVE, self.name)
        raise AssertionError("codes were just set aside")

    def number(self, letter: str, state: State) -> int:
        """Return the next number for a part (p), a joint (j) or a loss (L): one that nothing ever had, undone or not.

        What is undone may be brought back, and somebody may have it in hand.
        """
        self._ever()
        known = {"p": [*state.parts], "j": [*state.joints], "L": [*state.losses]}[letter]
        return max(self._highest[letter], *(_number(identity) for identity in known), 0) + 1

    def had_meaning(self, code: str) -> bool:
        """Return whether a tag ever had a meaning in this job, undone or not."""
        return code in self._ever()

    def _ever(self) -> set[str]:
        """Return every tag that ever had a meaning in this job, undone or not; note the numbers that were given out."""
        for act in self._acts[self._looked :]:
            self._bound.update(event.tag for event in act.events if isinstance(event, TagBound | Planned))
            self._bound.update(event.bag for event in act.events if isinstance(event, Planned))
            for identity in (each for event in act.events for each in _identities(event)):
                self._highest[identity[:1]] = max(self._highest.get(identity[:1], 0), _number(identity))
        self._looked = len(self._acts)
        return self._bound

    def opened(self) -> JobOpened:
        """Return how the work order was opened."""
        if self._state.job is None:
            raise Refusal(f"{self.name} was never opened", todo="open it: tagtrack open JOB REGISTRATION")
        return self._state.job

    def open_tags(self) -> tuple[str, ...]:
        """Return the tags of this job that are not back: on parts, bags, connections, and zone cards."""
        ours = (TagRole.PART, TagRole.BAG, TagRole.CONNECTION, TagRole.ZONE)
        return tuple(t.code for t in self._state.tags.values() if t.role in ours and t.end is None)

    def voided(self, code: str) -> bool:
        """Return whether the tag was declared void, here or in the shop."""
        known = self._state.tags.get(code)
        return code in self.shop.state.void or (known is not None and known.end is TagEnd.VOID)


def _number(identity: str) -> int:
    # of a strange hand's record it may be none
    return int(identity[1:]) if identity[1:].isdecimal() else 0


def _identities(event: Event) -> list[str]:
    """Return the parts, joints and losses that an event brings into the record, by their numbers."""
    match event:
        case TakenOff(part=part, found=found):
            return [*([part.identity] if part else []), *(joint.identity for joint in found)]
        case Installed(new=PartOff(identity=identity)) | Lost(case=identity):
            return [identity]
        case _:
            return []
