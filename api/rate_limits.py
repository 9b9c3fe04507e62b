"""How many requests one caller may make in a minute, where that is set: 429 beyond it, headers that tell what is left.

`RateLimit-Policy` and `RateLimit` are those of draft-ietf-httpapi-ratelimit-headers-11 (May 2026), in the syntax of RFC
9651; `Retry-After` is that of RFC 9110, 429 that of RFC 6585. A caller is known by the address of the connection, or by
the one that a trusted proxy names. Each process counts for itself.
"""

import time

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from api.asgi import App, Headers, Message, Receive, Scope, Send
from api.frame import answer_problem
from api.problems import TOO_MANY_REQUESTS, problem

NOT_COUNTED = frozenset({"/healthz", "/readyz", "/metrics"})
WINDOW_S = 60


def with_rate_limits(app: App, requests_a_minute: int) -> App:
    """Refuse (429) what a caller asks beyond so many requests of the last minute; 0 refuses none."""
    if not requests_a_minute:
        return app
    limit = RateLimitItemPerMinute(requests_a_minute)
    counted = MovingWindowRateLimiter(MemoryStorage())
    policy = b'"caller";q=%d;w=%d' % (requests_a_minute, WINDOW_S)

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"] in NOT_COUNTED or scope["method"] == "OPTIONS":
            return await app(scope, receive, send)
        caller = (scope.get("client") or ("unknown", 0))[0]
        taken = counted.hit(limit, caller)
        window = counted.get_window_stats(limit, caller)
        until = max(1, round(window.reset_time - time.time()))
        told: Headers = [
            (b"ratelimit-policy", policy),
            (b"ratelimit", b'"caller";r=%d;t=%d' % (window.remaining, until)),
        ]

        async def telling(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *told]
            await send(message)

        if taken:
            return await app(scope, receive, telling)
        detail = f"Expected at most {requests_a_minute} requests a minute; ask again in {until} seconds."
        await answer_problem(telling, problem(TOO_MANY_REQUESTS, detail), [(b"retry-after", b"%d" % until)])

    return wrapped
