"""Sound files of any rate and number of channels come out as int16, mono, 16 kHz."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.listening.sound_file import SoundFileFault, read_sound_file, to_int16


def tone(rate_hz: int, seconds: float = 1.0) -> np.ndarray:
    return 0.5 * np.sin(2 * np.pi * 440 * np.arange(round(rate_hz * seconds)) / rate_hz)


@pytest.mark.parametrize("suffix", ["wav", "flac", "ogg"])
@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 44_100, 48_000])
@pytest.mark.parametrize("channels", [1, 2])
def test_any_rate_and_channels(suffix: str, rate_hz: int, channels: int, tmp_path: Path) -> None:
    file = tmp_path / f"tone.{suffix}"
    soundfile.write(file, np.repeat(tone(rate_hz)[:, None], channels, axis=1), rate_hz)
    sound = read_sound_file(file)
    assert sound.dtype == np.int16
    assert sound.ndim == 1
    assert abs(len(sound) - 16_000) <= 16
    spectrum = np.abs(np.fft.rfft(sound[:16_000], 16_000))
    assert abs(int(spectrum.argmax()) - 440) <= 1
    assert np.abs(sound).max() / 32768 == pytest.approx(0.5, abs=0.05)


def test_channels_are_averaged(tmp_path: Path) -> None:
    file = tmp_path / "sides.wav"
    soundfile.write(file, np.stack([tone(16_000), -tone(16_000)], axis=1), 16_000)
    assert np.abs(read_sound_file(file)).max() <= 1


def test_an_empty_file_of_sound_is_no_sound(tmp_path: Path) -> None:
    file = tmp_path / "empty.wav"
    soundfile.write(file, np.zeros(0), 44_100)
    assert len(read_sound_file(file)) == 0


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(SoundFileFault, match=r"no sound file .*nowhere\.wav"):
        read_sound_file(tmp_path / "nowhere.wav")


@pytest.mark.parametrize("content", [b"", b"RIFF", b"this is a letter, not a sound", bytes(range(256)) * 10])
def test_a_broken_file_is_told(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "broken.wav"
    file.write_bytes(content)
    with pytest.raises(SoundFileFault, match="can't be read"):
        read_sound_file(file)


def test_too_loud_is_clipped_and_no_number_is_silence() -> None:
    assert to_int16(np.array([2.0, -2.0, np.nan, 0.5])).tolist() == [32767, -32768, 0, 16384]
