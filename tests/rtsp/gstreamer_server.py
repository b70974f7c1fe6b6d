"""GStreamer's RTSP server, run by the system's python3: an implementation of the standard that is not this project's.

    python3 gstreamer_server.py [PORT [USER PASSWORD basic|digest]]

It says its port on standard output, and ends with its standard input. All who watch a stream get the same pictures.
"""

import sys
import threading

import gi

gi.require_version("Gst", "1.0")
gi.require_version("GstRtspServer", "1.0")
from gi.repository import GLib, Gst, GstRtsp, GstRtspServer  # noqa: E402

SOURCE = "videotestsrc is-live=true pattern=zone-plate kx2=20 ky2=20 kt=1 ! video/x-raw,format=I420"
PICTURES = f"{SOURCE},width=640,height=800,framerate=30/1"
SMALL = f"{SOURCE},width=320,height=400,framerate=10/1"
H264 = "openh264enc gop-size=30 slice-mode=n-slices num-slices=8 scene-change-detection=false bitrate=8000000"
H265 = "x265enc tune=zerolatency speed-preset=ultrafast key-int-max=10"
SOUND = "audiotestsrc is-live=true ! audioconvert ! alawenc ! rtppcmapay"
STREAMS = {
    "/jpeg": f"{PICTURES} ! jpegenc ! rtpjpegpay name=pay0",
    "/h264": f"{PICTURES} ! {H264} ! rtph264pay config-interval=-1 name=pay0",
    "/h265": f"{SMALL} ! {H265} ! rtph265pay config-interval=-1 name=pay0",
    "/sound": f"{SOUND} name=pay0",
    "/both": f"{PICTURES} ! jpegenc ! rtpjpegpay name=pay0 {SOUND} name=pay1",
}


def identified(server, user, password, scheme):
    """Let only one user in."""
    auth, token = GstRtspServer.RTSPAuth(), GstRtspServer.RTSPToken()
    token.set_string(GstRtspServer.RTSP_TOKEN_MEDIA_FACTORY_ROLE, "viewer")
    if scheme == "digest":
        auth.set_supported_methods(GstRtsp.RTSPAuthMethod.DIGEST)
        auth.add_digest(user, password, token)
    else:
        auth.add_basic(GstRtspServer.RTSPAuth.make_basic(user, password), token)
    server.set_auth(auth)


def main():
    """Serve until the standard input ends."""
    Gst.init(None)
    port, *identity = sys.argv[1:] or ["0"]
    server = GstRtspServer.RTSPServer()
    server.set_address("127.0.0.1")
    server.set_service(port)
    if identity:
        identified(server, *identity)
    for path, launch in STREAMS.items():
        factory = GstRtspServer.RTSPMediaFactory()
        factory.set_launch(f"( {launch} )")
        factory.set_shared(True)
        if identity:
            permissions = GstRtspServer.RTSPPermissions()
            permissions.add_permission_for_role("viewer", "media.factory.access", True)
            permissions.add_permission_for_role("viewer", "media.factory.construct", True)
            factory.set_permissions(permissions)
        server.get_mount_points().add_factory(path, factory)
    server.attach(None)
    print(server.get_bound_port(), flush=True)
    loop = GLib.MainLoop()
    threading.Thread(target=lambda: (sys.stdin.read(), loop.quit()), daemon=True).start()
    loop.run()


if __name__ == "__main__":
    main()
