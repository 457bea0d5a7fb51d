"""Under which names and addresses the page is answered, also after the network gave this computer another one."""

from __future__ import annotations

import socket
from functools import partial

import pytest
from hangar.served import JOB, Device

from tagtrack.cli.serving import address_of_this_computer
from tagtrack.hangar.hosts import is_this_computer, name_of


def test_an_address_that_the_network_gave_anew_is_answered_without_a_new_start(shop):
    own = {"192.168.1.20"}
    app = shop.app(also=own.__contains__)
    assert app.test_client().get("/people", headers={"Host": "192.168.1.33:8765"}).status_code == 400
    own.add("192.168.1.33")
    assert app.test_client().get("/people", headers={"Host": "192.168.1.33:8765"}).status_code == 200


def test_what_is_pressed_at_the_new_address_is_taken_and_another_origin_is_not(shop):
    device = Device(shop.app(also={"192.168.1.33"}.__contains__))
    device.client.open = partial(device.client.open, base_url="http://192.168.1.33:8765/")
    device.sign_in()
    form, path = {"line": "put 1 rag at tail"}, f"/job/{JOB}/press"
    assert device.post(path, form, headers={"Origin": "http://evil.example"}).status_code == 403
    assert device.post(path, form, headers={"Origin": "http://192.168.1.33:8765"}).status_code == 200


def test_this_computers_own_addresses_and_names_are_its_own():
    bare = socket.gethostname().split(".")[0]
    for host in ("127.0.0.1", address_of_this_computer(), bare, bare.upper(), f"{bare}.local"):
        assert is_this_computer(host), host


# documentation addresses of RFC 5737 and names of RFC 2606: nobody has them. Then what is no plain address
OTHERS = (
    "192.0.2.1", "198.51.100.7", "evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "", "a b", "127.1",
    "127.0.0.01", "2130706433", "0x7f000001", "0.0.0.0", "224.0.0.1", "255.255.255.255", "::1", "[::1]", "127.0.0.1\n",  # noqa: S104 - nothing is bound to it
)  # fmt: skip


@pytest.mark.parametrize("host", OTHERS)
def test_what_is_not_this_computer_is_not_taken_for_it(host):
    assert not is_this_computer(host)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.0.2.1", "192.0.2.1:8765", "127.1"])
def test_a_name_that_was_made_to_point_here_is_still_refused_on_the_network(shop, host):
    client = shop.app(also=is_this_computer).test_client()
    for path in ("/people", "/static/page.js", "/authority", "/nowhere"):
        answer = client.get(path, headers={"Host": host})
        assert answer.status_code == 400
        assert "not served under that name" in answer.text


@pytest.mark.parametrize(
    ("header", "name"),
    [("Shop.local:8765", "shop.local"), ("shop.local", "shop.local"), ("[::1]:80", "[::1]"), ("10.1.1.1", "10.1.1.1")],
)
def test_the_port_is_no_part_of_the_name(header, name):
    assert name_of(header) == name
