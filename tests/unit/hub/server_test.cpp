// SPDX-License-Identifier: Apache-2.0
//
// The real server on a free loopback port with a real SQLite file, treated well and badly.
#include "hub/server.h"

#include <sys/resource.h>

#include "hub/gzip.h"
#include "running_hub.h"

namespace nthtree::hub {
namespace {

using test::ask;
using test::body_of;
using test::json_type;
using test::post;
using test::push_of;
using test::RawHttp;
using test::RunningHub;
using test::status_of;

TEST_SUITE("hub") {

TEST_CASE("a phone joins, sends, and another fetches") {
  RunningHub hub;
  const std::string first = hub.next_code(), key = hub.join();
  CHECK(key.size() == 32);
  const std::string pushed = post(hub.port(), "/v1/push", key, push_of(1, 3));
  REQUIRE(status_of(pushed) == 200);
  CHECK(sync::read_push_reply(*sync::read_envelope(body_of(pushed)))->head == 3);
  hub.next_code(first);
  const std::string pulled =
      post(hub.port(), "/v1/pull", key, write(sync::PullRequest{{}, 200}));
  const std::string body = body_of(pulled);
  CHECK(sync::read_envelope(body)->lines.size() == 3);
}

TEST_CASE("without a key, or with a wrong one, nothing is told") {
  RunningHub hub;
  for (const char* path : {"/v1/hello", "/v1/push", "/v1/pull"}) {
    CHECK(status_of(post(hub.port(), path, "", "{}")) == 401);
    CHECK(status_of(post(hub.port(), path, "wrong", "{}")) == 401);
  }
  CHECK(status_of(ask(hub.port(), "GET", "/v1/health")) == 200);
}

TEST_CASE("a code works once, for its time, and tries are counted") {
  RunningHub hub;
  const std::string code = hub.next_code();
  const auto join = [&](const std::string& with) {
    return status_of(post(hub.port(), "/v1/join", "", write(sync::JoinRequest{with, "t"})));
  };
  const auto why = [&](const std::string& with) {
    const std::string body =
        body_of(post(hub.port(), "/v1/join", "", write(sync::JoinRequest{with, "t"})));
    const auto envelope = sync::read_envelope(body);
    REQUIRE(envelope.ok());
    CHECK(envelope->head["minutes"] == code_minutes_default);
    return envelope->head["error"].get<std::string>();
  };
  CHECK(join(code) == 200);
  CHECK(join(code) == 403);
  CHECK(why(code) == "code_used");
  const std::string next = hub.next_code(code);
  hub.now_ms += code_minutes_default * 60000;
  CHECK(join(next) == 403);
  CHECK(why(next) == "code_expired");
  CHECK(why("00000-00000") == "code_unknown");
  CHECK(join("nonsense") == 403);
  int refused = 0;
  for (int i = 0; i < 20; ++i) refused += join("00000-00000") == 429;
  CHECK(refused >= 15);
}

TEST_CASE("the key stands in the answer alone, and a page of another site cannot use it") {
  RunningHub hub;
  const std::string answer =
      post(hub.port(), "/v1/join", "", write(sync::JoinRequest{hub.next_code(), "t"}));
  REQUIRE(status_of(answer) == 200);
  CHECK(answer.find("Set-Cookie") == std::string::npos);  // nothing a browser sends by itself
  const std::string key = sync::read_join_reply(*sync::read_envelope(body_of(answer)))->bearer;
  const std::string pull = write(sync::PullRequest{{}, 5});
  const auto with = [&](const std::string& headers) {
    return status_of(ask(hub.port(), "POST", "/v1/pull", headers, pull));
  };
  const std::string bearer = "Authorization: Bearer " + key + "\r\n";
  CHECK(with(json_type + bearer) == 200);
  CHECK(with(json_type + bearer + "Origin: http://localhost\r\n") == 200);
  CHECK(with(json_type + ("Cookie: nthtree_key=" + key + "\r\n")) == 401);
  // As Firefox says it of our own page, where that gives no referrer.
  CHECK(with(json_type + bearer + "Origin: null\r\nSec-Fetch-Site: same-origin\r\n") == 200);
  for (const char* header : {"Origin: http://evil.example\r\n", "Origin: null\r\n",
                             "Sec-Fetch-Site: cross-site\r\n",
                             "Origin: null\r\nSec-Fetch-Site: cross-site\r\n"}) {
    CHECK(with(json_type + bearer + header) == 403);
  }
  CHECK(with("Content-Type: text/plain\r\n" + bearer) == 415);
}

TEST_CASE("a withdrawn key is refused, and what it sent stays") {
  RunningHub hub;
  const std::string key = hub.join();
  REQUIRE(status_of(post(hub.port(), "/v1/push", key, push_of(1, 2))) == 200);
  auto other = open_sqlite_store(hub.folder / "hub.sqlite");
  REQUIRE(other.ok());
  (*other)->begin();
  CHECK((*other)->withdraw_key(1, 5));
  REQUIRE((*other)->commit().ok());
  int status = 200;
  for (int i = 0; i < 400 && status == 200; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    status = status_of(post(hub.port(), "/v1/pull", key, write(sync::PullRequest{{}, 5})));
    hub.now_ms += 1000;
  }
  CHECK(status == 401);
  const std::string told =
      body_of(post(hub.port(), "/v1/pull", key, write(sync::PullRequest{{}, 5})));
  CHECK(told.find("key_withdrawn") != std::string::npos);
  CHECK((*other)->bytes({RunningHub::device, 2}));
}

TEST_CASE("files come with their headers, compressed where they may be") {
  RunningHub hub;
  const std::string plain = ask(hub.port(), "GET", "/");
  CHECK(body_of(plain) == "<p>hello");
  for (const char* header : {"Content-Security-Policy: default-src 'none'", "nosniff",
                             "Referrer-Policy: no-referrer", "Cross-Origin-Opener-Policy",
                             "ETag: \"tag\"", "frame-ancestors 'none'"}) {
    CAPTURE(header);
    CHECK(plain.find(header) != std::string::npos);
  }
  CHECK(plain.find("unsafe-inline") == std::string::npos);
  CHECK(body_of(ask(hub.port(), "GET", "/", "Accept-Encoding: gzip, br\r\n")) == "BROTLI");
  CHECK(status_of(ask(hub.port(), "GET", "/", "If-None-Match: \"tag\"\r\n")) == 304);
  const std::string head = ask(hub.port(), "HEAD", "/");
  CHECK(head.find("Content-Length: 8\r\n") != std::string::npos);
  CHECK(body_of(head).empty());
}

TEST_CASE("no path leads out of the site") {
  RunningHub hub;
  for (const char* target : {"/../hub.sqlite", "/..%2fhub.sqlite", "/%2e%2e/hub.sqlite",
                             "/./../hub.sqlite", "//etc/passwd", "/\\..\\hub.sqlite",
                             "http://x/../hub.sqlite"}) {
    CAPTURE(target);
    CHECK(status_of(ask(hub.port(), "GET", target)) == 404);
  }
}

TEST_CASE("only the methods that mean something are taken") {
  RunningHub hub;
  CHECK(status_of(ask(hub.port(), "GET", "/v1/push")) == 405);
  CHECK(status_of(ask(hub.port(), "DELETE", "/v1/push")) == 405);
  CHECK(status_of(ask(hub.port(), "POST", "/", json_type, "{}")) == 405);
  CHECK(status_of(ask(hub.port(), "GET", "/v1/nothing")) == 404);
}

TEST_CASE("a head that is too long is refused, and the connection closed") {
  RunningHub hub;
  RawHttp http(hub.port());
  http.say("GET / HTTP/1.1\r\nX: " + std::string(header_bytes_max, 'x') + "\r\n\r\n");
  CHECK(status_of(http.hear()) == 431);
  CHECK(http.closed(2000));
  RawHttp fits(hub.port());
  fits.say("GET / HTTP/1.1\r\nHost: a\r\nX: " + std::string(header_bytes_max - 200, 'x') +
           "\r\n\r\n");
  CHECK(status_of(fits.hear()) == 200);
}

TEST_CASE("an endless line is cut off after little of it") {
  RunningHub hub;
  RawHttp http(hub.port());
  const std::string megabyte(1 << 20, 'a');
  std::size_t sent = 0;
  for (int i = 0; i < 200; ++i) {
    const std::size_t now = http.say(megabyte);
    sent += now;
    if (now < megabyte.size()) break;
  }
  CHECK(sent < 32u << 20);  // what the sockets' buffers took
}

TEST_CASE("a stranger's body is never read") {
  RunningHub hub;
  RawHttp http(hub.port());
  http.say("POST /v1/push HTTP/1.1\r\nHost: a\r\n" + json_type + "Content-Length: 1000000\r\n\r\n");
  CHECK(status_of(http.hear()) == 401);
  CHECK(http.closed(2000));
}

TEST_CASE("a body at its limit is read and one above is not") {
  RunningHub hub;
  const std::string key = hub.join();
  CHECK(status_of(post(hub.port(), "/v1/pull", key, std::string(sync::body_bytes_max, ' '))) == 400);
  CHECK(status_of(post(hub.port(), "/v1/pull", key, std::string(sync::body_bytes_max + 1, ' '))) ==
        413);
  CHECK(status_of(post(hub.port(), "/v1/join", "", std::string(join_bytes_max, ' '))) == 400);
  CHECK(status_of(post(hub.port(), "/v1/join", "", std::string(join_bytes_max + 1, ' '))) == 413);
}

TEST_CASE("chunks are counted too") {
  RunningHub hub;
  const std::string key = hub.join();
  RawHttp http(hub.port());
  http.say("POST /v1/push HTTP/1.1\r\nHost: a\r\n" + json_type + "Authorization: Bearer " + key +
           "\r\nTransfer-Encoding: chunked\r\n\r\n");
  const std::string chunk = "10000\r\n" + std::string(0x10000, 'x') + "\r\n";
  std::size_t sent = 0;
  for (int i = 0; i < 1600; ++i) {
    const std::size_t now = http.say(chunk);
    sent += now;
    if (now < chunk.size()) break;
  }
  CHECK(sent < 16u << 20);
  CHECK(http.closed(5000));
}

TEST_CASE("a gzip bomb is no more than its limit") {
  RunningHub hub;
  const std::string key = hub.join();
  const auto send = [&](const std::string& plain) {
    return status_of(ask(hub.port(), "POST", "/v1/pull",
                         json_type + "Content-Encoding: gzip\r\nAuthorization: Bearer " + key +
                             "\r\n", gzip(plain)));
  };
  CHECK(send(std::string(50u << 20, ' ')) == 413);
  CHECK(send(write(sync::PullRequest{{}, 5})) == 200);
}

TEST_CASE("who is slow or silent is let go, and holds up nobody") {
  RunningHub hub({.threads = 2, .read_seconds = 1, .idle_seconds = 1});
  std::vector<std::unique_ptr<RawHttp>> half_open;
  for (int i = 0; i < 60; ++i) {
    half_open.push_back(std::make_unique<RawHttp>(hub.port()));
    half_open.back()->say(i % 2 ? "GET / HT" : "");
  }
  CHECK(status_of(ask(hub.port(), "GET", "/")) == 200);
  for (auto& http : half_open) CHECK(http->closed(10000));
  RawHttp kept(hub.port());
  kept.say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
  CHECK(status_of(kept.hear()) == 200);
  CHECK(kept.closed(10000));  // idle
}

TEST_CASE("idle connections took all places, and nobody else came in") {
  for (const ServerSettings& settings :
       {ServerSettings{.connections = 5}, ServerSettings{.connections_per_address = 5}}) {
    RunningHub hub(settings);
    std::vector<std::unique_ptr<RawHttp>> idle;
    for (std::size_t i = 0; i < 5; ++i) {
      idle.push_back(std::make_unique<RawHttp>(hub.port()));
      idle.back()->say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
      CHECK(status_of(idle.back()->hear()) == 200);
      // An answer is heard a moment before the hub counts its connection among the idle.
      for (int tries = 0; tries < 1000 && hub.server->waiting() <= i; ++tries) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
      }
    }
    RawHttp one_more(hub.port());
    one_more.say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
    CHECK(status_of(one_more.hear()) == 200);
    CHECK(idle[0]->closed(3000));  // the longest idle made room
    idle[4]->say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
    CHECK(status_of(idle[4]->hear()) == 200);
  }
}

TEST_CASE("two thousand phones that keep their connections are all served") {
  rlimit files{};
  getrlimit(RLIMIT_NOFILE, &files);
  files.rlim_cur = files.rlim_max;
  setrlimit(RLIMIT_NOFILE, &files);
  RunningHub hub;
  std::vector<std::unique_ptr<RawHttp>> phones;
  for (int i = 0; i < 2000; ++i) phones.push_back(std::make_unique<RawHttp>(hub.port()));
  const auto started = std::chrono::steady_clock::now();
  int served = 0;
  for (int round = 0; round < 2; ++round) {
    for (const auto& phone : phones) phone->say("GET /v1/health HTTP/1.1\r\nHost: a\r\n\r\n");
    for (const auto& phone : phones) served += status_of(phone->hear()) == 200;
  }
  CHECK(served == 4000);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - started;
  MESSAGE("4,000 requests on 2,000 connections in ", took.count(), " s");
}

TEST_CASE("a wall clock that was set freed whoever had used up a limit") {
  double steady = 1000;
  RunningHub hub({}, 0, [&](RunningHub& h) { h.steady_seconds = [&] { return steady; }; });
  const auto guess = [&] {
    return status_of(
        post(hub.port(), "/v1/join", "", write(sync::JoinRequest{"00000-00000", "t"})));
  };
  for (int i = 0; i < 10; ++i) guess();
  CHECK(guess() == 429);
  hub.now_ms += 365LL * 86400000;
  CHECK(guess() == 429);
  steady += 60;
  CHECK(guess() == 403);
}

TEST_CASE("behind a proxy one guesser used up the tries of all") {
  for (const bool is_trusted : {true, false}) {
    double steady = 1000;
    RunningHub hub({}, 0, [&](RunningHub& h) {
      h.steady_seconds = [&] { return steady; };
      if (is_trusted) h.trusted_proxy = "127.0.0.1";
    });
    const auto guess_of = [&](const std::string& forwarded) {
      return status_of(ask(hub.port(), "POST", "/v1/join",
                           json_type + "X-Forwarded-For: " + forwarded + "\r\n",
                           write(sync::JoinRequest{"00000-00000", "t"})));
    };
    for (int i = 0; i < 5; ++i) guess_of("192.0.2.1");
    CHECK(guess_of("192.0.2.1") == 429);
    steady += 4;  // the tries of all together come back faster than those of one address
    CHECK(guess_of("192.0.2.2") == (is_trusted ? 403 : 429));
    // What the client itself wrote before the proxy's word counts for nothing.
    CHECK(guess_of("192.0.2.9, 192.0.2.1") == 429);
  }
}

TEST_CASE("a page that had its own name pointed here was answered as that page") {
  RunningHub hub({}, 0, [](RunningHub& h) { h.hosts = {"farm.example"}; });
  const auto status_for = [&](const std::string& host) {
    RawHttp http(hub.port());
    http.say("GET / HTTP/1.1\r\nHost: " + host + "\r\n\r\n");
    return status_of(http.hear());
  };
  for (const char* own : {"farm.example", "FARM.example:8443", "localhost:80", "[::1]:8080"}) {
    CAPTURE(own);
    CHECK(status_for(own) == 200);
  }
  for (const char* foreign : {"farm.example.evil.example", "evil.example", "", "[::2]:80"}) {
    CAPTURE(foreign);
    CHECK(status_for(foreign) == 421);
  }
}

TEST_CASE("every answer has the headers that keep it from being taken for something else") {
  RunningHub hub;
  const std::string answers[] = {
      ask(hub.port(), "GET", "/v1/health"), ask(hub.port(), "GET", "/none"),
      post(hub.port(), "/v1/push", "", "{}"), ask(hub.port(), "PUT", "/"),
      ask(hub.port(), "GET", "/" + std::string(9000, 'x'))};
  for (const std::string& answer : answers) {
    CAPTURE(answer.substr(0, 40));
    for (const char* header : {"X-Content-Type-Options: nosniff", "Content-Security-Policy: ",
                               "Referrer-Policy: no-referrer"}) {
      CAPTURE(header);
      CHECK(answer.find(header) != std::string::npos);
    }
  }
}

TEST_CASE("the monitor's door tells counts, and nothing else; the app's tells none") {
  RunningHub hub;
  post(hub.port(), "/v1/push", hub.join(), push_of(1, 3));
  const unsigned short door = hub.server->port(Door::metrics);
  const std::string counts = ask(door, "GET", "/metrics");
  CHECK(status_of(counts) == 200);
  CHECK(counts.find("text/plain; version=0.0.4") != std::string::npos);
  CHECK(counts.find("\nnthtree_records 3\n") != std::string::npos);
  CHECK(status_of(ask(door, "GET", "/")) == 404);
  CHECK(status_of(ask(door, "POST", "/v1/join", json_type, "{}")) == 404);
  CHECK(status_of(ask(hub.port(), "GET", "/metrics")) == 404);
}

TEST_CASE("right codes were refused because others guessed wrong ones") {
  RunningHub hub;
  const std::string code = hub.next_code();
  const auto join = [&](const std::string& with) {
    return status_of(post(hub.port(), "/v1/join", "", write(sync::JoinRequest{with, "t"})));
  };
  int refused = 0;
  for (int i = 0; i < 30; ++i) refused += join("00000-00000") == 429;
  CHECK(refused > 20);
  CHECK(join(code) == 200);
  CHECK(join("00000-00000") == 429);
}

TEST_CASE("a connection carries many requests") {
  RunningHub hub;
  RawHttp http(hub.port());
  for (int i = 0; i < 20; ++i) {
    http.say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
    REQUIRE(status_of(http.hear()) == 200);
  }
}

TEST_CASE("nonsense is refused") {
  RunningHub hub;
  for (const std::string& text :
       {std::string("\r\n\r\n\r\n"), std::string("GET\r\n\r\n"), std::string("GET / HTTP/9.9\r\n\r\n"),
        std::string("\x16\x03\x01\x02\x00\x01\x00\x01\xfc\r\n\r\n", 13),
        std::string("POST /v1/push HTTP/1.1\r\nContent-Length: -1\r\n\r\n"),
        std::string("POST /v1/push HTTP/1.1\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n")}) {
    RawHttp http(hub.port());
    http.say(text);
    const int status = status_of(http.hear(3000));
    CAPTURE(text);
    CHECK((status == 0 || status >= 400));
  }
  CHECK(status_of(ask(hub.port(), "GET", "/")) == 200);
}

TEST_CASE("a full disk refuses records and gives what it has") {
  RunningHub hub({}, 60);
  const std::string key = hub.join();
  REQUIRE(status_of(post(hub.port(), "/v1/push", key, push_of(1, 3))) == 200);
  int status = 200;
  for (std::uint64_t i = 0; i < 40 && status == 200; ++i) {
    status = status_of(post(hub.port(), "/v1/push", key, push_of(4 + 200 * i, 203 + 200 * i)));
  }
  CHECK(status == 507);
  const std::string pulled = post(hub.port(), "/v1/pull", key, write(sync::PullRequest{{}, 3}));
  CHECK(status_of(pulled) == 200);
  const std::string body = body_of(pulled);
  CHECK(sync::read_envelope(body)->lines.size() == 3);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
