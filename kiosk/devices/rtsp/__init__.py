"""Cameras in the network that send video, by RTSP (RFC 2326) with RTP between its messages on one TCP connection."""
