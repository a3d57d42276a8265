// SPDX-License-Identifier: Apache-2.0
#include "sync/message.h"

#include "support/records.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;

Coverage some_coverage() {
  Coverage coverage;
  coverage[phone_a].add(1, 50);
  coverage[phone_b].add(1, 12);
  coverage[phone_b].add(14);
  return coverage;
}

TEST_SUITE("sync") {

TEST_CASE("every message reads back as it was written") {
  const Cursor cursor{"epoch", 41, "opening"};
  SUBCASE("join") {
    const auto e = *read_envelope(write(JoinRequest{"ABCDE-FGHJK", "tablet \"3\""}));
    const auto m = read_join_request(e);
    REQUIRE(m.ok());
    CHECK(m->code == "ABCDE-FGHJK");
    CHECK(m->name == "tablet \"3\"");
    CHECK(read_join_reply(*read_envelope(write(JoinReply{"key"})))->bearer == "key");
    const JoinReply lead{"key", orchard::Role::lead};
    CHECK(read_join_reply(*read_envelope(write(lead)))->role == orchard::Role::lead);
    CHECK_FALSE(read_join_reply(*read_envelope(R"({"v":1,"bearer":"key","role":"king"})"))->role);
    for (const char* no_key : {"", "a key", "a\u001fb"}) {  // no header could carry these
      CHECK_FALSE(read_join_reply(*read_envelope(write(JoinReply{no_key}))));
    }
  }
  SUBCASE("hello") {
    const auto m = read_hello_request(
        *read_envelope(write(HelloRequest{phone_a, some_coverage(), cursor, 1769990400000})));
    REQUIRE(m.ok());
    CHECK(m->device == phone_a);
    CHECK(m->have == some_coverage());
    CHECK(m->cursor == cursor);
    CHECK(m->wall_ms == 1769990400000);
    const auto r = read_hello_reply(
        *read_envelope(write(HelloReply{"epoch", 1769990400000, some_coverage(), 48, 40})));
    REQUIRE(r.ok());
    CHECK(r->missing == some_coverage());
    CHECK(r->head == 48);
    CHECK(r->backed_up == 40);
  }
  SUBCASE("push") {
    const auto r1 = test::record_of(phone_a, 48, 1, test::tag(1, 1, 5));
    const auto r2 = test::record_of(phone_a, 49, 2, test::tag(1, 2, 6));
    const auto r3 = test::record_of(phone_b, 7, 2, test::tag(1, 3, 7));
    const std::string text =
        write(PushRequest{phone_a, {r1.id, r2.id, r3.id}, {r1.bytes, r2.bytes, r3.bytes}});
    const auto e = read_envelope(text);
    REQUIRE(e.ok());
    const auto m = read_push_request(*e);
    REQUIRE(m.ok());
    CHECK(m->ids == std::vector{r1.id, r2.id, r3.id});
    CHECK(m->lines == std::vector<std::string_view>{r1.bytes, r2.bytes, r3.bytes});
    const auto r = read_push_reply(*read_envelope(write(PushReply{"e", 49, 3, {r1.id}, {r2.id}})));
    REQUIRE(r.ok());
    CHECK(r->conflicts == std::vector{r1.id});
    CHECK(r->set_aside == std::vector{r2.id});
  }
  SUBCASE("pull") {
    const auto m = read_pull_request(*read_envelope(write(PullRequest{cursor, 10})));
    REQUIRE(m.ok());
    CHECK(m->cursor == cursor);
    CHECK(m->records_max == 10);
    const std::string text = write(PullReply{cursor, true, true, {"{}", "{\"a\":1}"}});
    const auto e = read_envelope(text);
    const auto r = read_pull_reply(*e);
    REQUIRE(r.ok());
    CHECK(r->cursor == cursor);
    CHECK(r->reset);
    CHECK(r->more);
    CHECK(r->lines.size() == 2);
  }
}

TEST_CASE("what does not come from a hub is no message") {
  for (const char* text :
       {"", "\n", "<!doctype html><title>Hotel WLAN</title>", "null", "[]", "7", "{}", "{\"v\":\"1\"}",
        "{\"v\":2}", "{\"v\":1", "{\"v\":1,\"v\":1}", "{\"v\":1,\"a\":[[[[1]]]]}"}) {
    CAPTURE(text);
    CHECK_FALSE(read_envelope(text).ok());
  }
  CHECK(read_envelope("{\"v\":2}").error().id == "other_version");
}

TEST_CASE("unknown fields are ignored, so that later versions can add some") {
  std::string text = write(PullRequest{{"e", 1, {}}, 10});
  text.insert(1, "\"later\":{\"x\":[1]},");
  CHECK(read_pull_request(*read_envelope(text)).ok());
}

TEST_CASE("a field that is missing or wrong is named") {
  const auto error_of = [](std::string text) {
    const auto envelope = read_envelope(text);
    const auto push = envelope ? read_push_request(*envelope)
                               : base::Result<PushRequest>(envelope.error());
    return push ? std::string("none") : push.error().where;
  };
  const std::string key = phone_a.text();
  CHECK(error_of("{\"v\":1}") == "device");
  CHECK(error_of("{\"v\":1,\"device\":\"" + key + "\"}") == "runs");
  CHECK(error_of("{\"v\":1,\"device\":\"x\",\"runs\":[]}") == "device");
  CHECK(error_of("{\"v\":1,\"device\":\"" + key + "\",\"bytes\":0,\"runs\":[]}") == "none");
  for (const std::string& run : std::vector<std::string>{
        "[]", "7", "[\"" + key + "\",1]", "[\"" + key + "\",0,1]", "[\"" + key + "\",2,1]",
        "[\"" + key + "\",-1,1]", "[\"" + key + "\",1,1.5]", "[\"k\",1,1]",
        "[\"" + key + "\",1,18446744073709551615]"}) {
    CAPTURE(run);
    CHECK(error_of("{\"v\":1,\"device\":\"" + key + "\",\"bytes\":2,\"runs\":[" + run + "]}\nx") ==
          "runs");
  }
}

TEST_CASE("a batch holds 200 records and not 201") {
  const auto batch = [](std::uint64_t records) {
    std::string text = "{\"v\":1,\"device\":\"" + phone_a.text() + "\",\"bytes\":" +
                       std::to_string(2 * records) + ",\"runs\":[[\"" + phone_a.text() + "\",1," + std::to_string(records) + "]]}";
    for (std::uint64_t i = 0; i < records; ++i) text += "\nx";
    return text;
  };
  const std::string full = batch(batch_records_max);
  const auto envelope = read_envelope(full);
  REQUIRE(envelope.ok());
  CHECK(read_push_request(*envelope).ok());
  CHECK_FALSE(read_envelope(batch(batch_records_max + 1)).ok());
}

TEST_CASE("as many lines and bytes must follow as are named") {
  const auto reads = [](int bytes, const std::string& lines) {
    const std::string text = "{\"v\":1,\"device\":\"" + phone_a.text() + "\",\"bytes\":" +
                             std::to_string(bytes) + ",\"runs\":[[\"" + phone_a.text() +
                             "\",1,2]]}" + lines;
    return read_push_request(*read_envelope(text)).ok();
  };
  CHECK(reads(4, "\nx\ny"));
  CHECK(reads(4, "\nx\ny\n"));
  CHECK_FALSE(reads(2, "\nx"));
  CHECK_FALSE(reads(4, "\nx"));
  CHECK_FALSE(reads(6, "\nx\ny\nz"));
  CHECK_FALSE(reads(5, "\nx\ny"));   // cut short
  CHECK_FALSE(reads(4, "\nx\nyy"));
}

TEST_CASE("an error is a message too") {
  const std::string text = write_error({"bad_code", "no \"such\" code", "code"});
  const auto envelope = read_envelope(text);
  REQUIRE(envelope.ok());
  CHECK(envelope->head["error"] == "bad_code");
  CHECK(envelope->head["where"] == "code");
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
