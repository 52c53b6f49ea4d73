"""Players that need no device: into a file on a virtual clock, and into nothing."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from companion.speaking.player import FilePlayer, Player, PlayerFault, SilentPlayer
from companion.speaking.sound import RATE, Samples


def tone(seconds: float, height: float = 0.5) -> Samples:
    return np.full(round(seconds * RATE), height, np.float32)


def written(path: Path) -> Samples:
    samples, rate = soundfile.read(str(path), dtype="float32")
    assert rate == RATE
    assert samples.ndim == 1
    return samples


class TestFilePlayer:
    @pytest.fixture
    def path(self, tmp_path: Path) -> Path:
        return tmp_path / "spoken.wav"

    @pytest.fixture
    def player(self, path: Path) -> FilePlayer:
        return FilePlayer(path)

    def test_sound_stands_in_the_file_where_it_was_played(self, player: FilePlayer, path: Path) -> None:
        player.advance(1.0)
        player.play(tone(0.5))
        player.advance(2.0)
        player.close()
        sound = written(path)
        assert len(sound) == 2 * RATE
        assert not sound[:RATE].any()
        assert sound[RATE : RATE + RATE // 2] == pytest.approx(0.5, abs=1e-4)
        assert not sound[RATE + RATE // 2 :].any()

    def test_what_is_played_meanwhile_follows(self, player: FilePlayer, path: Path) -> None:
        player.play(tone(0.5, 0.25))
        player.advance(0.1)
        player.play(tone(0.5, 0.75))
        assert player.ends_s == pytest.approx(1.0)
        player.advance(1.5)
        sound = written(path)
        assert sound[RATE // 2 - 1] == pytest.approx(0.25, abs=1e-4)
        assert sound[RATE // 2] == pytest.approx(0.75, abs=1e-4)

    def test_it_plays_until_the_clock_has_passed_the_end(self, player: FilePlayer) -> None:
        assert not player.playing
        player.play(tone(0.5))
        assert player.playing
        player.advance(0.4)
        assert player.playing
        assert player.position == pytest.approx(0.4)
        player.advance(0.5)
        assert not player.playing
        assert player.position == pytest.approx(0.5)

    def test_the_position_begins_anew_after_silence(self, player: FilePlayer) -> None:
        player.play(tone(0.5))
        player.advance(3.0)
        player.play(tone(0.5))
        player.advance(3.2)
        assert player.position == pytest.approx(0.2)

    def test_stopping_drops_what_lies_ahead(self, player: FilePlayer, path: Path) -> None:
        player.play(tone(1.0))
        player.advance(0.3)
        player.stop()
        assert not player.playing
        player.play(tone(0.1, 0.1))
        player.advance(1.0)
        sound = written(path)
        assert np.flatnonzero(sound)[-1] == round(0.4 * RATE) - 1

    def test_sounds_written_at_the_same_time_are_mixed_and_never_wrap(self, player: FilePlayer, path: Path) -> None:
        player.write_at(0.1, tone(0.2, 0.8))
        player.write_at(0.2, tone(0.2, 0.8))
        player.advance(1.0)
        sound = written(path)
        assert sound[round(0.15 * RATE)] == pytest.approx(0.8, abs=1e-4)
        assert sound[round(0.25 * RATE)] == pytest.approx(1.0, abs=1e-4)

    def test_the_past_cannot_be_written(self, player: FilePlayer) -> None:
        player.advance(1.0)
        with pytest.raises(ValueError, match="past"):
            player.write_at(0.5, tone(0.1))

    def test_the_clock_does_not_go_back(self, player: FilePlayer, path: Path) -> None:
        player.advance(1.0)
        player.advance(0.5)
        assert player.time_s == 1.0
        assert len(written(path)) == RATE

    @given(steps=st.lists(st.floats(0, 0.3), max_size=12))
    def test_the_file_is_the_same_however_the_clock_is_moved(
        self, tmp_path_factory: pytest.TempPathFactory, steps: list[float]
    ) -> None:
        path = tmp_path_factory.mktemp("steps") / "spoken.wav"
        player = FilePlayer(path)
        player.write_at(0.2, tone(0.7, 0.3))
        now = 0.0
        for step in steps:
            now += step
            player.advance(now)
        player.advance(4.0)
        player.close()
        sound = written(path)
        assert len(sound) == 4 * RATE
        assert np.flatnonzero(sound)[[0, -1]].tolist() == [round(0.2 * RATE), round(0.9 * RATE) - 1]

    def test_the_file_can_be_read_at_any_moment(self, player: FilePlayer, path: Path) -> None:
        for second in range(3):
            with wave.open(str(path)) as file:
                assert file.getnframes() == second * RATE
                assert (file.getsampwidth(), file.getnchannels(), file.getframerate()) == (2, 1, RATE)
            player.advance(second + 1.0)

    def test_the_file_of_a_killed_process_can_be_read(self, path: Path) -> None:
        program = (
            "import sys, time\nfrom pathlib import Path\nimport numpy as np\n"
            "from companion.speaking.player import FilePlayer\n"
            "player = FilePlayer(Path(sys.argv[1]))\n"
            "player.play(np.full(24000, 0.5, np.float32))\nplayer.advance(0.75)\n"
            "print('written', flush=True)\ntime.sleep(600)\n"
        )
        child = subprocess.Popen([sys.executable, "-c", program, str(path)], stdout=subprocess.PIPE)
        assert child.stdout is not None
        assert child.stdout.readline() == b"written\n"
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        assert written(path) == pytest.approx(np.full(18_000, 0.5), abs=1e-4)

    def test_a_place_that_cannot_be_written_is_told_in_one_sentence(self, tmp_path: Path) -> None:
        with pytest.raises(PlayerFault, match=r"can't be written: No such file or directory\.$"):
            FilePlayer(tmp_path / "nowhere" / "spoken.wav")

    def test_a_full_disk_at_the_beginning_is_told_in_one_sentence(self) -> None:
        with pytest.raises(
            PlayerFault, match=r"^The sound file /dev/full can't be written: No space left on device\.$"
        ):
            FilePlayer(Path("/dev/full"))

    def test_a_disk_that_fills_up_ends_the_file_and_is_told_once(self, path: Path) -> None:
        program = (
            "import resource, signal, sys\nfrom pathlib import Path\n"
            "from companion.speaking.player import FilePlayer, PlayerFault\n"
            "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
            "resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))\n"
            "player = FilePlayer(Path(sys.argv[1]))\nplayer.advance(1.0)\n"
            "try:\n    player.advance(5.0)\nexcept PlayerFault as fault:\n    print(fault)\n"
            "player.advance(6.0)\nprint(player.alive)\nplayer.close()\n"
        )
        done = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=True)
        assert done.stdout == f"The sound file {path} can't be written on: File too large.\nFalse\n"
        assert len(written(path)) >= RATE

    def test_after_closing_nothing_is_played(self, player: FilePlayer) -> None:
        player.close()
        player.close()
        assert not player.alive
        with pytest.raises(PlayerFault, match="closed"):
            player.play(tone(0.1))


class TestSilentPlayer:
    def test_a_prompt_takes_its_length_on_the_clock(self) -> None:
        clock = [10.0]
        player = SilentPlayer(lambda: clock[0])
        assert not player.playing
        player.play(tone(2.0))
        player.play(tone(1.0))
        clock[0] = 12.5
        assert player.playing
        assert player.position == pytest.approx(2.5)
        clock[0] = 13.0
        assert not player.playing

    def test_stopping_ends_it_at_once(self) -> None:
        clock = [0.0]
        player = SilentPlayer(lambda: clock[0])
        player.play(tone(2.0))
        clock[0] = 0.5
        player.stop()
        assert not player.playing
        player.play(tone(1.0))
        assert player.playing
        assert player.position == 0.0

    def test_without_a_clock_it_takes_no_time(self) -> None:
        player: Player = SilentPlayer()
        player.play(tone(100))
        assert not player.playing
        assert player.alive
        player.close()


def test_the_real_clock_will_do() -> None:
    player = SilentPlayer(time.monotonic)
    player.play(tone(0.05))
    assert player.playing
    time.sleep(0.06)
    assert not player.playing
