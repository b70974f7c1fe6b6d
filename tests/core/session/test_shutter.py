from dataclasses import replace

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints, Observation
from kiosk.core.session.shutter import HOLD_S, Hold, hold

HEAD = HeadPoints(Point(320, 200), Point(320, 190), Point(320, 500), Point(280, 350), Point(360, 350))


def _seen(shift_px: float = 0.0) -> Observation:
    points = replace(HEAD, right_eye=Point(280 + shift_px, 350), left_eye=Point(360 + shift_px, 350))
    return Observation(640, 800, 1, points)


def _run(frames, rate=30):
    state, fired = Hold(), []
    for index, (seen, kept) in enumerate(frames):
        state = hold(state, seen, kept, index / rate)
        fired.append(state.complete(index / rate))
    return fired


def test_it_fires_only_after_everything_has_held():
    fired = _run([(_seen(), True)] * 60)
    assert fired.index(True) == round(HOLD_S * 30)


def test_one_broken_frame_starts_the_wait_again():
    frames = [(_seen(), True)] * 60
    frames[20] = (_seen(), False)
    assert _run(frames).index(True) == 21 + round(HOLD_S * 30)


def test_a_head_that_keeps_drifting_is_never_shot():
    assert not any(_run([(_seen(index * 1.0), True) for index in range(200)]))


def test_a_head_at_rest_may_sway_within_the_noise():
    assert any(_run([(_seen(3.0 * (index % 2)), True) for index in range(60)]))


def test_no_face_is_no_hold():
    assert not any(_run([(Observation(640, 800, 0), True)] * 60))
