"""The demo's main job takes no more presses than it did, and no key but the big one."""

from guide.follow.model import Desk
from guide.follow.session import Session
from tests.follow.samples import Clock, Memory
from tests.show.demo import demo_plan


def test_the_demo_is_done_with_the_big_key_alone():
    """A press starts a step, one counts each of its pieces or all, one leaves a size unmeasured, one closes.

    [identity] 45 starts, 164 pieces and batches, 4 sizes that are asked for, one press that closes: 214, the same as
    before steps could be worked together, faces were seen or clocks held to one. The pins' two numbers are typed.
    """
    plan = demo_plan()
    session = Session(Memory(Clock().read()), lambda *_: plan, Clock(), desk=Desk(guard_ms=0))
    session.clock = Clock()
    counted = sum(step.pieces if step.count == "each" else 1 for step in plan.steps)
    asked = sum(step.measure is not None for step in plan.steps)
    presses = typed = 0
    while not session.left:
        session.clock.run(
            2 * 3_600 if session.record.doing == "ready" else 30
        )  # glue, wash and drying have had their time
        question = session.desk.ask
        if question is not None and question.about == "count_in":
            for key in ("0", "space", "0", "enter"):
                session.press(key)
            typed += 1
            continue
        session.press("space")
        presses += 1
        assert presses < 1_000
    assert session.record.closed
    assert len(plan.steps) == 45
    assert presses == len(plan.steps) + counted + asked + 1 == 214
    assert typed == sum(bool(step.count_in) for step in plan.steps)
