"""Forged topics: refused by both brokers, and by the stalls themselves were a broker lax."""

import gc
import ssl
import threading
from dataclasses import replace

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from showtime.fair.hall import Joining
from showtime.fairnet import Member, Organiser, mosquitto_setup, open_broker
from showtime.fairnet.words import Topics, everything
from showtime.live.hall import QuietCalled

CLAIMS = b'{"epoch":1,"serial":1,"at":"2027-02-13T10:00:00+00:00","ruled":true,"claims":[]}'


class Client:
    """Any program that speaks MQTT, with what it heard."""

    def __init__(self, joining, will=None):
        self.heard, self.code = [], None
        self._news = threading.Condition()
        self.mqtt = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv311)
        if joining.user:
            password = joining.password_file.read_text("utf-8").strip()
            self.mqtt.username_pw_set(joining.user, password)
        if joining.ca:
            self.mqtt.tls_set_context(ssl.create_default_context(cafile=str(joining.ca)))
        if will:
            self.mqtt.will_set(will, CLAIMS, qos=1, retain=True)
        self.mqtt.on_connect = self._connected
        self.mqtt.on_message = lambda client, data, message: self._tell(self.heard, message.topic)
        self.mqtt.connect(joining.broker, joining.port, 10)
        self.mqtt.loop_start()
        with self._news:
            self._news.wait_for(lambda: self.code is not None, 10)

    def _connected(self, client, data, flags, code, properties):
        with self._news:
            self.code = code.is_failure
            self._news.notify_all()

    def _tell(self, heard, topic):
        with self._news:
            heard.append(topic)
            self._news.notify_all()

    def says(self, topic, payload=CLAIMS):
        self.mqtt.publish(topic, payload, qos=1, retain=True).wait_for_publish(5)

    def hears(self, topic, seconds=5.0):
        with self._news:
            return self._news.wait_for(lambda: topic in self.heard, seconds)

    def close(self):
        self.mqtt.disconnect()
        self.mqtt.loop_stop()
        left = self.mqtt.socket()
        if left is not None:
            left.close()


@pytest.fixture
def closing():
    opened = []
    yield opened
    for each in reversed(opened):
        each.close()


@pytest.fixture
def fair(trial):
    return trial.fair_of(3)


@pytest.fixture
def topics(fair, trial):
    return Topics(fair.name, trial.day)


def test_a_broker_lets_each_write_below_its_own_word_alone(fair, topics, broker_of, closing):
    broker = broker_of(fair)
    listener = Client(broker.joining("stall-3"))
    closing.append(listener)
    listener.mqtt.subscribe(everything(fair.name), qos=1)
    listener.mqtt.subscribe("#", qos=1)
    for user, allowed in [
        ("stall-1", topics.stall("Stall-1", "claims")),
        ("organiser", topics.organiser("gate", "quiet")),
    ]:
        client = Client(broker.joining(user))
        closing.append(client)
        forged = [
            topics.stall("Stall-2", "claims"),
            topics.stall("Stall-1x", "claims"),
            topics.organiser("gate", "plan")
            if user != "organiser"
            else topics.stall("Stall-1", "here"),
            "elsewhere/entirely",
            everything("Another fair").removesuffix("#") + "2027-02-13/stalls/Stall-1/claims",
        ]
        for topic in forged:
            client.says(topic)
        client.says(allowed)
        assert listener.hears(allowed)
        assert not set(forged) & set(listener.heard)


def test_a_last_will_may_not_speak_for_another_either(fair, topics, broker_of, closing):
    broker = broker_of(fair)
    listener = Client(broker.joining("stall-3"))
    closing.append(listener)
    listener.mqtt.subscribe(everything(fair.name), qos=1)
    forged, own = topics.stall("Stall-2", "here"), topics.stall("Stall-1", "here")
    for will in (forged, own):
        client = Client(broker.joining("stall-1"), will=will)
        client.mqtt.loop_stop()
        client.mqtt.socket() and client.mqtt.socket().close()
    assert listener.hears(own)
    assert forged not in listener.heard


@pytest.mark.parametrize("user", ["stall-1", "nobody", ""])
def test_without_the_right_password_nobody_gets_in(fair, broker_of, closing, user):
    broker = broker_of(fair)
    wrong = broker.joining("stall-1", password="guessed")
    joining = Joining(wrong.broker, wrong.port, user, wrong.password_file, wrong.ca)
    client = Client(joining)
    closing.append(client)
    assert client.code is True


@pytest.fixture
def lax(trial, fair, closing):
    """A broker that lets anybody say anything, a stall and an organiser on it, and a stranger."""
    port = trial.free_port()
    broker = open_broker("127.0.0.1", port)
    closing.append(broker)
    joining, clock = Joining("127.0.0.1", port), trial.clock_at(trial.opens)
    member = Member(fair.stands[0].stall, joining, clock)
    desk = Organiser(fair.hall(trial.day), joining, clock, "front desk")
    words = []
    member.listen(words.append)
    stranger = Client(joining)
    closing += [member, desk, stranger]
    trial.until(lambda: member.is_up and desk.view().stall("Stall 1").last_heard)
    return member, desk, stranger, words


NONSENSE = [
    b"", b"\xff\xfe", b"[]", b"null", b"{", b"{}", b"NaN", b'{"epoch":1}', b"[" * 5000,
    CLAIMS.replace(b"[]", b"[1]"), CLAIMS.replace(b"1,", b"-1,"), CLAIMS.replace(b"1,", b"1e400,"),
    CLAIMS.replace(b"+00:00", b""), CLAIMS.replace(b"true", b'"true"'),
    b'{"x":"' + b"a" * 200_000 + b'"}',
]  # fmt: skip


def test_nonsense_changes_nothing_and_is_told_once(lax, topics, trial):
    member, desk, stranger, words = lax
    before = list(words)
    for nonsense in NONSENSE:
        for topic in (
            topics.stall("Stall-2", "claims"),
            topics.stall("Stall-2", "here"),
            topics.stall("Stall-2", "leave", "Stall-1"),
            topics.stall("Stall-2", "status"),
            topics.organiser("gate", "quiet"),
            topics.organiser("gate", "caps"),
            topics.organiser("gate", "plan"),
            topics.organiser("gate", "handout", "Stall-1"),
        ):
            stranger.says(topic, nonsense)
    trial.until(lambda: "left out of account" in member.trouble)
    trial.until(lambda: "left out of account" in desk.view().trouble)
    assert "\n" not in member.trouble
    assert words == before
    call = desk.quiet(3, "still well")
    trial.until(lambda: any(isinstance(word, QuietCalled) for word in words))
    assert [word.call for word in words if isinstance(word, QuietCalled)] == [call]
    assert member.is_up


def test_a_handout_of_another_stall_or_day_is_not_followed(lax, topics, trial, fair):
    member, _, stranger, words = lax
    handout = '{"stall":"Stall 2","day":"2027-02-13","performances":[]}'
    payload = f'{{"number":9,"names":{{}},"bonds":[],"handout":{handout}}}'.encode()
    stranger.says(topics.organiser("gate", "handout", "Stall-1"), payload)
    trial.until(lambda: "Stall 2" in member.trouble)
    assert member.follows == ""


def test_claims_of_a_stall_that_is_not_of_the_hall_are_told_to_the_organiser(lax, topics, trial):
    _, desk, stranger, _ = lax
    stranger.says(topics.stall("Hot-Sausages", "claims"))
    trial.until(lambda: "Hot-Sausages is no stall" in desk.view().trouble)


# paho leaves the socket of a handshake that fails to be collected as garbage.
@pytest.mark.filterwarnings("ignore:unclosed <ssl.SSLSocket")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_certificate_of_another_authority_is_told_in_a_line(trial, fair, secret_broker, tmp_path):
    other = mosquitto_setup(tmp_path / "other", fair, "127.0.0.1")
    trial.certificates(other)
    right = secret_broker(fair).joining("stall-1")
    member = Member(
        fair.stands[0].stall,
        replace(right, ca=other.settings.with_name("fair-ca.pem")),
        trial.clock_at(trial.opens),
    )
    trial.until(lambda: "certificate that does not fit" in member.trouble)
    assert "mend fairnet: ca and broker" in member.trouble
    member.close()
    gc.collect()


def test_a_plain_line_to_a_secret_port_gets_nowhere(trial, fair, secret_broker):
    right = secret_broker(fair).joining("stall-1")
    member = Member(fair.stands[0].stall, replace(right, ca=None), trial.clock_at(trial.opens))
    trial.until(lambda: "no line" in member.trouble or "secret" in member.trouble, 20)
    member.close()
