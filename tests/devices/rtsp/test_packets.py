"""What comes over the line, without a camera: messages, packets, pictures and their times."""

from __future__ import annotations

import struct

import pytest

from kiosk.devices.rtsp.codecs import CLOCK_HZ, CODECS, described
from kiosk.devices.rtsp.lateness import TakenTimes
from kiosk.devices.rtsp.pictures import Assembler, rewritten
from kiosk.devices.rtsp.wire import NoRtsp, Packet, RtspMessage, RtspReader
from tests.rtsp.responder import packets, picture

SIZE_PX = (640, 800)


def packet(payload, number, ticks=0, *, is_last=True):
    return struct.pack(">BBHII", 0x80, 96 | 0x80 * is_last, number % 65536, ticks, 7) + payload


def test_messages_and_packets_are_cut_apart_wherever_the_network_cuts_them():
    reply = b"RTSP/1.0 200 OK\r\nCSeq: 2\r\nContent-Length: 4\r\n\r\nv=0\n"
    stream = (
        reply
        + Packet(0, b"\r\n\r\n$").as_bytes()
        + b"REDIRECT * RTSP/1.0\r\nCSeq: 9\r\n\r\n"
        + Packet(1, b"").as_bytes()
    )
    for step in (1, 7, len(stream)):
        reader, parts = RtspReader(), []
        for start in range(0, len(stream), step):
            parts += reader.read(stream[start : start + step])
        first, second, third, fourth = parts
        assert isinstance(first, RtspMessage)
        assert (first.status, first.field("cseq"), first.body, first.raw) == (200, "2", "v=0\n", reply)
        assert second == Packet(0, b"\r\n\r\n$")
        assert isinstance(third, RtspMessage)
        assert (third.status, third.start[0]) == (None, "REDIRECT")
        assert fourth == Packet(1, b"")


@pytest.mark.parametrize(
    "sent", [b"x" * 70_000, b"RTSP/1.0 200 OK\r\nContent-Length: 999999999\r\n\r\n", b"RTSP/1.0 x\r\n\r\n"]
)
def test_what_is_no_rtsp_is_refused_and_not_kept(sent):
    with pytest.raises(NoRtsp):
        [message.status for message in RtspReader().read(sent)]


@pytest.mark.parametrize(
    "head",
    [
        b"A: b\n\nRTSP/1.0 302 -\nLocation: rtsp://192.0.2.1/\n",
        b"Content-Length : 60\r\n",
        b" Content-Length: 60\r\n",
        b"Content\r-Length: 60\r\n",
        b"$: b\r\n",
        b"A: \0\r\n",
    ],
)
def test_no_reply_is_hidden_where_ffmpeg_would_find_it(head):
    """FFmpeg ends a line at a line feed, and knows a field by the first letters of its line (`ff_rtsp_read_reply`)."""
    with pytest.raises(NoRtsp):
        list(RtspReader().read(b"RTSP/1.0 200 OK\r\n" + head + b"\r\n\r\nRTSP/1.0 302 -\r\n\r\n"))


def test_empty_lines_between_messages_are_passed_over():
    [message] = RtspReader().read(b"\r\n\r\nRTSP/1.0 200 OK\r\nCSeq: 3\r\n\r\n\r\n")
    assert message.status == 200


def test_no_picture_lacks_a_packet_whichever_is_lost():
    number, sent = 65_500, []
    for count in range(3):
        made = packets(picture(count, SIZE_PX), SIZE_PX, number, count * 3000)
        number += len(made)
        sent.append(made)
    for lost in range(len(sent[1])):
        assembler = Assembler(CODECS["JPEG"])
        arriving = [each for made in sent for each in made if each is not sent[1][lost]]
        whole = [one.packets for each in arriving for one in assembler.add(each)]
        assert whole in ([tuple(sent[0]), tuple(sent[2])], [tuple(sent[0])]), lost
        assert assembler.lost == 1


KEY, FORM, NEXT = b"\x65\x88", b"\x67\x42", b"\x41\x9a"
"""H.264: a slice of a picture that is decoded by itself, a sequence's parameters, a slice of one that builds on it."""


def test_after_a_loss_no_h264_picture_counts_until_one_that_needs_no_other():
    assembler = Assembler(CODECS["H264"])
    payloads = [NEXT, FORM + KEY[:0], KEY, NEXT, None, NEXT, NEXT, KEY, NEXT]
    counted = []
    for number, payload in enumerate(payloads):
        is_last = payload != FORM
        ticks = number if is_last else number + 1
        if payload is not None:
            for one in assembler.add(packet(payload, number, ticks, is_last=is_last)):
                counted.append((one.ticks, len(one.packets), one.form))
    assert counted == [(2, 2, FORM[1:]), (3, 1, b""), (7, 1, b""), (8, 1, b"")]


@pytest.mark.parametrize(
    ("codec", "payload", "opens"),
    [
        ("H264", KEY, True),
        ("H264", b"\x65\x40", False),  # its second slice
        ("H264", b"\x7c\x85\x88", True),  # FU-A, its start
        ("H264", b"\x7c\x45\x88", False),  # FU-A, its end
        ("H264", b"\x78\0\2" + FORM + b"\0\2" + KEY, True),  # STAP-A
        ("H264", b"\x78\0\2" + NEXT, False),
        ("H264", b"", False),
        ("H265", b"\x26\x01\x80\0", True),  # IDR_W_RADL
        ("H265", b"\x02\x01\x80\0", False),  # TRAIL_R
        ("H265", b"\x62\x01\x93\x80", True),  # FU, its start
        ("H265", b"\x62\x01\x53\x80", False),  # FU, its end
        ("H265", b"\x60\x01\0\3\x26\x01\x80", True),  # AP
        ("JPEG", bytes(8), True),
        ("JPEG", b"\0\0\5\x78\1\xff\x50\x64", False),
    ],
)
def test_a_picture_that_needs_no_other_is_known_by_its_first_slice(codec, payload, opens):
    """Bytes after RFC 6184 (5.6 to 5.8), RFC 7798 (4.4) and RFC 2435 (3.1)."""
    assert CODECS[codec].opens(payload) is opens


def test_a_form_that_is_said_more_than_once_is_the_same():
    """GStreamer says it up to three times before a picture."""
    assembler = Assembler(CODECS["H264"])
    for number in range(2):
        assert assembler.add(packet(FORM, number, is_last=False)) == []
    assert assembler.add(packet(KEY, 2))[0].form == FORM[1:]


def test_extensions_and_padding_are_not_the_picture():
    plain = packet(KEY, 0)
    extended = bytes((plain[0] | 0x30, *plain[1:12])) + b"\xbe\xde\0\1abcd" + KEY + b"\0\2"
    assembler = Assembler(CODECS["H264"])
    assert assembler.add(extended)[0].is_independent


def test_what_is_no_rtp_and_what_never_ends_is_dropped():
    assembler = Assembler(CODECS["JPEG"])
    assert assembler.add(b"short") == []
    for number in range(400):
        assert assembler.add(packet(bytes(60_000), number, is_last=False)) == []
    assert assembler.lost >= 2


def test_a_packet_gets_another_number_and_time():
    again = rewritten(packet(KEY, 5, 7), 65_537, (1 << 32) + 3)
    assert again == packet(KEY, 1, 3)


def test_the_first_video_of_a_description_names_its_codec():
    sdp = "v=0\r\nm=audio 0 RTP/AVP 0\r\nm=video 0 RTP/AVP 97\r\na=rtpmap:97 H264/90000\r\nm=video 0 RTP/AVP 26\r\n"
    assert described(sdp) == "H264"
    assert described("v=0\r\nm=video 0 RTP/AVP 26\r\n") == "JPEG"
    assert described("v=0\r\nm=video 0 RTP/AVP 33\r\n") == "payload type 33"
    assert described("v=0\r\nm=audio 0 RTP/AVP 0\r\na=rtpmap:0 PCMU/8000\r\n") is None


def times(*pairs):
    taken = TakenTimes()
    return [taken.taken_s(round(clock_s * CLOCK_HZ) % 2**32, arrived_s) for clock_s, arrived_s in pairs]


def test_a_picture_that_waited_on_the_way_is_as_old_as_its_clock_says():
    assert times((50.0, 9.0), (50.1, 9.1), (50.2, 10.2), (50.3, 10.3)) == pytest.approx([9, 9.1, 9.2, 9.3], abs=1e-3)


def test_a_quicker_way_is_believed_from_then_on():
    assert times((0.0, 5.0), (0.1, 4.9), (0.2, 5.1)) == pytest.approx([5, 4.9, 5.0], abs=1e-3)


def test_a_clock_that_starts_again_or_runs_over_makes_nothing_old():
    assert times((100.0, 5.0), (0.0, 5.1), (0.1, 5.2)) == pytest.approx([5, 5.1, 5.2])
    end_s = 2**32 / CLOCK_HZ
    assert times((end_s - 0.05, 5.0), (end_s + 0.05, 5.1)) == pytest.approx([5, 5.1], abs=1e-3)


def test_a_clock_that_is_slow_all_day_makes_nothing_old():
    hours = [(second * (1 - 5e-5), float(second)) for second in range(36_000)]
    assert times(*hours)[-1] == pytest.approx(35_999, abs=0.01)
