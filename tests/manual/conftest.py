from tests.browser import browser as browser
