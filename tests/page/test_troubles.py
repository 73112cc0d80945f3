"""A service that is busy, gone, or wants a key."""

import hashlib

from selenium.webdriver.common.keys import Keys

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.live import listening
from tests.page.conftest import Page
from tests.page.test_answer import BUSY

KEY = "a long random text for the tests"
# Answers to a projection are replaced before the page sees them.
INSTEAD = """
    const real = window.fetch;
    window.fetch = async (path, options) => {
      if (!String(path).includes('/v1/projections') || !window.instead) return real(path, options);
      return window.instead(options);
    };
"""


def test_a_key_is_asked_for_and_kept_in_the_session_only(page: Page) -> None:
    digest = hashlib.sha256(KEY.encode()).hexdigest()
    with listening(create_app(Settings(key_hashes=(digest,)))) as address:
        page.open("", address)
        assert page.find("#key-dialog").is_displayed()
        page.find("#key").send_keys("wrong", Keys.ENTER)
        page.wait(lambda: "not taken" in page.text("#key-says") and page.find("#key-dialog"))
        page.find("#key").send_keys(KEY, Keys.ENTER)
        page.wait(lambda: page.state() == "answered")
        assert page.run("return JSON.stringify(localStorage)").find(KEY) == -1
        assert KEY in page.run("return JSON.stringify(sessionStorage)")
        assert KEY not in page.text("#curl")
        assert "Bearer YOUR-KEY" in page.text("#curl")
        assert KEY not in page.driver.current_url
        page.browser.open("about:blank")
        page.browser.complaints()


def test_a_busy_service_is_told_in_words_and_asked_again(page: Page) -> None:
    page.open(BUSY)
    page.run(INSTEAD)
    page.run(
        """
        let left = 1;
        window.instead = (options) => {
          if (left-- <= 0) {
            window.instead = null;
            return window.fetch('/v1/projections', options);
          }
          return new Response(
            JSON.stringify({type: '/problems/busy', status: 503, detail: 'busy'}),
            {status: 503, headers: {'Retry-After': '1'}},
          );
        };
        """
    )
    before = page.answers()
    page.put("set_point_c", "25")
    page.wait(lambda: "busy with other questions" in page.text("#trouble"))
    page.next_answer(before)
    assert not page.run("return document.getElementById('trouble').checkVisibility()")


def test_a_service_that_is_gone_is_told_in_words(page: Page) -> None:
    page.open(BUSY)
    page.run(INSTEAD)
    page.run("window.instead = () => { throw new TypeError('Failed to fetch'); }")
    page.put("set_point_c", "25")
    page.wait(lambda: "does not answer" in page.text("#trouble"))
    assert "Holds" not in page.text("#stamp")
    assert "kill" in page.text("#cautions")


def test_a_failing_service_names_the_request(page: Page) -> None:
    page.open(BUSY)
    page.run(INSTEAD)
    page.run(
        """
        window.instead = () => new Response(
          JSON.stringify({type: '/problems/internal', status: 500, request_id: 'abc-1'}),
          {status: 500, headers: {'Content-Type': 'application/problem+json'}});
        """
    )
    page.put("set_point_c", "25")
    page.wait(lambda: "abc-1" in page.text("#trouble"))
    assert "failed at this question" in page.text("#trouble")


def test_a_slow_answer_is_announced_and_an_old_one_never_overtakes(page: Page) -> None:
    page.open(BUSY)
    page.show_hours()
    page.run(INSTEAD)
    # The first question is answered late, and its signal is what the page aborts it by.
    page.run(
        """
        const real = window.fetch;
        window.aborted = 0;
        window.instead = (options) => {
          window.instead = null;
          return new Promise((done, fail) => {
            options.signal.addEventListener('abort', () => {
              window.aborted += 1;
              fail(new DOMException('aborted', 'AbortError'));
            });
          });
        };
        """
    )
    page.put("set_point_c", "26")
    page.wait(lambda: "Working" in page.text("#working"))
    page.say("set_point_c", "22")
    assert page.run("return window.aborted") == 1
    assert '"set_point_c": 22' in page.text("#curl")
    assert page.text("#working") == ""
