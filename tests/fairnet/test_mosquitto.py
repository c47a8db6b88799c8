"""The settings for a mosquitto, held against its own tools; and who may read them."""

import shutil
import stat
import subprocess

import pytest

from showtime.fairnet import FairnetError, mosquitto_setup
from showtime.fairnet.passwords import fits, hashed, users_in
from showtime.fairnet.users import users_of


def mode(file):
    return stat.S_IMODE(file.stat().st_mode)


def test_only_their_owner_may_read_the_secrets(trial, tmp_path):
    made = mosquitto_setup(tmp_path, trial.fair_of(3), "127.0.0.1")
    trial.certificates(made)
    secrets = [made.password_file, made.rights, *made.passwords.iterdir(), *tmp_path.glob("*.key")]
    assert len(secrets) == 2 + 4 + 2
    assert {mode(file) for file in secrets} == {0o600}
    assert mode(made.passwords) == 0o700
    assert made.password_file.read_text("utf-8").count("$7$") == 4


def test_made_again_every_password_stays_and_a_new_stall_gets_one(trial, tmp_path):
    made = mosquitto_setup(tmp_path, trial.fair_of(3), "127.0.0.1")
    before = {file.name: file.read_text("utf-8") for file in made.passwords.iterdir()}
    hashes = made.password_file.read_text("utf-8")
    mosquitto_setup(tmp_path, trial.fair_of(3), "127.0.0.1")
    assert made.password_file.read_text("utf-8") == hashes
    mosquitto_setup(tmp_path, trial.fair_of(4), "127.0.0.1")
    after = {file.name: file.read_text("utf-8") for file in made.passwords.iterdir()}
    assert after.items() > before.items()
    assert set(after) - set(before) == {"stall-4.txt"}
    words = {
        user: (made.passwords / f"{user}.txt").read_text("utf-8").strip()
        for user in users_in(made.password_file)
    }
    assert all(fits(words[user], entry) for user, entry in users_in(made.password_file).items())


def test_the_password_file_is_the_one_that_mosquitto_passwd_writes(tmp_path):
    """Against mosquitto_passwd of the Eclipse Mosquitto project."""
    tool = shutil.which("mosquitto_passwd")
    if tool is None:
        pytest.skip("mosquitto_passwd, which this is held against, is not installed")
    file = tmp_path / "passwords"
    subprocess.run(
        [tool, "-c", "-b", str(file), "orchard", "pears & plums"],
        check=True,
        timeout=20,
        capture_output=True,
    )
    entry = users_in(file)["orchard"]
    assert fits("pears & plums", entry)
    assert not fits("pears", entry)
    ours = hashed("pears & plums")
    assert [len(part) for part in ours.split("$")] == [len(part) for part in entry.split("$")]


@pytest.mark.parametrize(
    "entry",
    [
        "",
        "$7$",
        "$6$1$a$b",
        "$7$0$YWE=$YWE=",
        "$7$x$YWE=$YWE=",
        "$7$101$?$?",
        "$7$99999999999$YWE=$YWE=",
    ],
)
def test_an_entry_that_is_none_fits_no_password(entry):
    assert not fits("", entry)


def test_two_stalls_that_join_as_one_are_refused(trial):
    fair = trial.fair_of(2)
    same = trial.joining_as(fair, ["orchard", "orchard"])
    with pytest.raises(FairnetError, match="Stall 1 and Stall 2 both join as 'orchard'"):
        users_of(same)
    with pytest.raises(FairnetError, match="no name for a user"):
        users_of(trial.joining_as(fair, ["a:b", "c"]))
    assert users_of(trial.joining_as(fair, ["pear", ""])) == {
        "pear": "Stall 1",
        "stall-2": "Stall 2",
    }


def test_an_organiser_cannot_be_a_stall(trial, tmp_path):
    with pytest.raises(FairnetError, match="let organisers have another"):
        mosquitto_setup(tmp_path, trial.fair_of(2), "127.0.0.1", desks=["stall-1"])


def test_the_instructions_name_every_user_and_say_what_is_read_along(trial, tmp_path):
    secret = mosquitto_setup(tmp_path / "a", trial.fair_of(2), "127.0.0.1")
    plain = mosquitto_setup(tmp_path / "b", trial.fair_of(2), "127.0.0.1", secret=False)
    assert "stall-2: Stall 2" in secret.instructions.read_text("utf-8")
    assert "reads along" in plain.instructions.read_text("utf-8")
    assert plain.certificates is None
    assert "listener 1883 " in plain.settings.read_text("utf-8")
    assert "listener 8883 " in secret.settings.read_text("utf-8")
