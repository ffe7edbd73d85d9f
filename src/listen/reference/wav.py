"""Writes small WAV files of every kind that is read and, in wav.csv, what scipy reads in them, full scale as 1.

python3 src/listen/reference/wav.py (numpy, scipy); 24 bits are written by Python's own module wave.
"""

import csv
import pathlib
import wave

import numpy as np
from scipy.io import wavfile

FOLDER = pathlib.Path(__file__).parent
RATE = 8000
SHAPE = np.array([[0.0, 0.5], [1.0, -1.0], [-1.0, 0.25], [0.123, -0.777], [0.3, 1e-4]])


def ints(bits, values):
    return np.clip(np.round(values * 2 ** (bits - 1)), -(2 ** (bits - 1)), 2 ** (bits - 1) - 1).astype(np.int64)


def write_24(path, values):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(values.shape[1])
        file.setsampwidth(3)
        file.setframerate(RATE)
        file.writeframes(b"".join(int(v).to_bytes(3, "little", signed=True) for v in ints(24, values).ravel()))


wavfile.write(FOLDER / "u8_mono.wav", RATE, (ints(8, SHAPE[:, 0]) + 128).astype(np.uint8))
wavfile.write(FOLDER / "i16_stereo.wav", RATE, ints(16, SHAPE).astype(np.int16))
write_24(FOLDER / "i24_stereo.wav", SHAPE)
wavfile.write(FOLDER / "i32_mono.wav", RATE, ints(32, SHAPE[:, 1]).astype(np.int32))
wavfile.write(FOLDER / "f32_stereo.wav", RATE, SHAPE.astype(np.float32))

with open(FOLDER / "wav.csv", "w", newline="") as out:
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["file", "frame", "channel", "value"])
    for path in sorted(FOLDER.glob("*.wav")):
        rate, read = wavfile.read(path)
        assert rate == RATE
        if read.dtype == np.uint8:
            read = (read.astype(float) - 128) / 128
        elif read.dtype != np.float32:
            # scipy shifts 24 bits to the top of 32.
            read = read.astype(float) / 2 ** (8 * read.dtype.itemsize - 1)
        read = read.reshape(len(read), -1)
        for (frame, channel), value in np.ndenumerate(read):
            rows.writerow([path.name, frame, channel, repr(float(value))])
