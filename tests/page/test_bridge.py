"""What waits between the page and the booth: answers for those who have hung up, and questions that nobody takes."""

import asyncio

import pytest

from kiosk.core.view.attendant import DeskIntent
from kiosk.page.bridge import MOST_WAITING, Bridge
from kiosk.page.channel import Channel, socket_pair
from kiosk.page.messages import PinAnswered, to_page


@pytest.fixture
def ends():
    booth, page = map(Channel, socket_pair())
    yield booth, page
    booth.close()
    page.close()


def test_the_answer_to_an_asker_who_has_hung_up_harms_nobody_else(ends):
    booth, page = ends

    async def play():
        bridge = Bridge(page)
        bridge.attend(lambda: None)
        gone, waits = (asyncio.ensure_future(bridge.ask(pin)) for pin in ("111222", "480217"))
        await asyncio.sleep(0)
        gone.cancel()
        said = b"".join(iter(booth.receive, None)).decode()
        for asker in [part.partition('"asker": "')[2][:16] for part in said.split("}")]:
            booth.send(to_page(PinAnswered(asker, "right")))
        return await waits

    assert asyncio.run(play()) == "right"


def test_a_booth_that_takes_nothing_refuses_what_finds_no_room(ends):
    _, page = ends

    async def play():
        bridge = Bridge(page)
        while bridge.give(DeskIntent("release")):
            pass
        return await bridge.ask("480217")

    assert asyncio.run(play()) == "refused"


def test_so_many_pins_wait_at_most(ends):
    _, page = ends

    async def play():
        bridge = Bridge(page)
        waiting = [asyncio.ensure_future(bridge.ask("480217")) for _ in range(MOST_WAITING)]
        await asyncio.sleep(0)
        answer = await bridge.ask("480217")
        for each in waiting:
            each.cancel()
        return answer

    assert asyncio.run(play()) == "refused"
