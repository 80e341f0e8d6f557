"""Pictures one after the other as a film: H.264 for what fills the screen, VP9 with alpha for what
lies over it.

The encoder is FFmpeg's, from the package PyAV, which is only needed for this; the same pictures
give the same bytes on every run of one version of it.
"""

from __future__ import annotations

import gc
from collections.abc import Iterable
from fractions import Fraction
from importlib.util import find_spec
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray

from explainer.errors import UsageError

#: Tags of the colors of HD video (ITU-R BT.709): primaries, transfer and matrix alike.
HD = 1
LIMITED = 1
"""Black is 16 and white is 235 of 255, as players expect."""
H264 = {"preset": "veryfast", "crf": "16", "tune": "animation", "threads": "1"}
#: Looking no frame ahead: the same film, without 25 pictures held twice over (half a gigabyte).
VP9 = {
    "deadline": "realtime", "cpu-used": "8", "crf": "18", "b": "0", "threads": "1",
    "auto-alt-ref": "0", "lag-in-frames": "0",
}  # fmt: skip


def need_encoder() -> None:
    """Raises UsageError where films cannot be made here, before anything is built."""
    if find_spec("av") is None:
        raise UsageError(
            "found no film encoder, expected the package PyAV, which the edition kit needs: "
            'pip install "explainer[kit]"; nothing was published'
        )


def opaque(pictures: Iterable[NDArray[np.uint8]], rate: Fraction) -> bytes:
    """Pictures (height, width, 3) as H.264 in MP4.  Both sides must be even."""
    return _encoded(pictures, rate, "mp4", "libx264", "yuv420p", H264)


def transparent(pictures: Iterable[NDArray[np.uint8]], rate: Fraction) -> bytes:
    """Pictures (height, width, 4), not premultiplied, as VP9 with alpha in WebM."""
    return _encoded(pictures, rate, "webm", "libvpx-vp9", "yuva420p", VP9)


def _encoded(
    pictures: Iterable[NDArray[np.uint8]], rate: Fraction, box: str, codec: str, pixels: str,
    options: dict[str, str],
) -> bytes:  # fmt: skip
    import av

    out = BytesIO()
    with av.open(out, "w", format=box, options={"fflags": "+bitexact"}) as container:
        stream: Any = container.add_stream(codec, rate=rate, options=dict(options))
        stream.pix_fmt = pixels
        stream.codec_context.flags |= av.codec.context.Flags.bitexact
        for number, picture in enumerate(pictures):
            if not number:
                stream.height, stream.width = picture.shape[:2]
                stream.codec_context.colorspace = HD
                stream.codec_context.color_primaries = HD
                stream.codec_context.color_trc = HD
                stream.codec_context.color_range = LIMITED
            kind = "rgba" if picture.shape[2] == 4 else "rgb24"
            frame = av.VideoFrame.from_ndarray(picture, format=kind)
            frame = frame.reformat(
                format=pixels, dst_colorspace="ITU709", dst_color_range="MPEG"
            )  # fmt: skip
            frame.pts, frame.time_base = number, 1 / rate
            for packet in stream.encode(frame):
                container.mux(packet)
        for packet in stream.encode(None):
            container.mux(packet)
    # An encoder keeps dozens of pictures and hangs in a circle with its file: publishing looks for
    # such circles so seldom that films would pile up in memory.
    del container, stream
    gc.collect(1)
    return out.getvalue()
