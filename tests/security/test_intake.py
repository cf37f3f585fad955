"""Too big is refused early, each route in its own shape, never with a fault (B16)."""

import io

import pytest
from django.test import Client

from framing.common.models import Role
from tests.common.routes import Route, all_routes
from tests.factories import people

pytestmark = pytest.mark.django_db
ROUTES = [route for route in all_routes() if not route.is_admin]


class Unread(io.RawIOBase):
    """A body that fails the test when somebody reads it."""

    def readable(self) -> bool:
        return True

    def read(self, size: int = -1) -> bytes:  # noqa: ARG002
        raise AssertionError("the body was read")

    def readinto(self, buffer) -> int:  # noqa: ARG002
        raise AssertionError("the body was read")


@pytest.fixture
def client() -> Client:
    client = Client(enforce_csrf_checks=True)
    client.force_login(people.user(Role.MANAGER))
    client.cookies["csrftoken"] = "a" * 32  # a cookie alone: the token's check has to look into the body
    return client


def send(client: Client, path: str, *, method: str = "POST", **environ):
    values = {"CONTENT_TYPE": "application/x-www-form-urlencoded", "wsgi.input": Unread()} | environ
    return client.generic(method, path, **values)


# Where files come in, and a byte more than is taken there from those who are signed in.
TAKE_FILES = {
    "projects:plan_list": "50000001",
    "api:plan_list": "50000001",
    "orders:drawings_record": "10500001",
    "api:orders_api:drawings_record": "10500001",
    "orders:receipt_photo": "10100001",
    "api:orders_api:site_photo_take": "10100001",
}


def shape(route: Route) -> str:
    return "application/problem+json" if route.is_api else "text/html"


@pytest.mark.parametrize("size", ["2500001", str(2 * 1024**3), "9" * 5000])
def test_what_announces_too_much_is_never_read(client: Client, size: str) -> None:
    """Where files come in, those who are signed in may send more, and no byte more than that."""
    for route in ROUTES:
        too_much = TAKE_FILES.get(route.name, size) if size == "2500001" else size
        answer = send(client, route.path, CONTENT_LENGTH=too_much)
        assert answer.status_code == 413, route.name
        assert answer["Content-Type"].startswith(shape(route)), route.name


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "GET", "OPTIONS"])
def test_the_method_does_not_matter(client: Client, method: str) -> None:
    for path in ("/api/v1/preview", "/projects/preview/", "/account/login/", "/admin/"):
        assert send(client, path, method=method, CONTENT_LENGTH="2500001").status_code == 413


def test_strangers_too_are_refused_before_anything_is_read() -> None:
    for route in ROUTES:
        assert send(Client(), route.path, CONTENT_LENGTH="2500001").status_code == 413, route.name


def test_a_body_of_unknown_size_is_refused_unread(client: Client) -> None:
    for route in ROUTES:
        answer = send(client, route.path, HTTP_TRANSFER_ENCODING="chunked", CONTENT_LENGTH="")
        assert answer.status_code == 411, route.name
        assert answer["Content-Type"].startswith(shape(route)), route.name


@pytest.mark.parametrize("size", ["-1", "lots", "1e9", "٣"])
def test_a_size_that_is_no_number_is_no_fault(client: Client, size: str) -> None:
    for path in ("/api/v1/preview", "/projects/preview/", "/account/login/"):
        answer = client.generic("POST", path, CONTENT_TYPE="application/json", CONTENT_LENGTH=size)
        assert answer.status_code == 411


def test_too_many_fields_are_refused_everywhere(client: Client) -> None:
    fields = "&".join(f"f{number}=1" for number in range(2001))
    for route in ROUTES:
        answer = client.generic("POST", route.path, fields, content_type="application/x-www-form-urlencoded")
        assert 400 <= answer.status_code < 500, route.name
        if route.is_api:
            assert answer["Content-Type"].startswith("application/problem+json"), route.name
        elif answer.status_code not in (404, 405):
            assert answer.status_code == 400, route.name


def test_many_fields_in_parts_are_refused(client: Client) -> None:
    part = '--x\r\nContent-Disposition: form-data; name="f"\r\n\r\n1\r\n'
    for path in ("/projects/new/", "/account/login/"):
        body = part * 2001 + "--x--\r\n"
        answer = client.generic("POST", path, body, content_type="multipart/form-data; boundary=x")
        assert answer.status_code == 400, path


def test_the_largest_body_that_is_read_is_only_refused_for_what_it_says() -> None:
    client = Client()
    client.force_login(people.user(Role.MANAGER))
    body = "[" + " " * 2_400_000 + "]"
    assert client.post("/api/v1/preview", body, content_type="application/json").status_code in (200, 422)
    answer = client.post("/projects/preview/", {"name": "x" * 1_000_000})
    assert answer.status_code < 500


def test_a_nul_sign_is_an_answer_everywhere(client: Client) -> None:
    for route in ROUTES:
        odd = route.path.replace("0" * 20, "a%00b")
        if odd != route.path and "?" not in odd:
            assert client.get(odd).status_code == 404, route.name
        for asked in ("search=a%00", "q=%00", "stage=%00", "%00=1"):
            assert client.generic("GET", route.path, QUERY_STRING=asked).status_code == 400, route.name
    key = {"Idempotency-Key": "a\x00b"}
    answer = client.post("/api/v1/orders/book/", "{}", content_type="application/json", headers=key)
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
