// SPDX-License-Identifier: Apache-2.0
//
// What an office's browser reads without the app: the day as a page, counts and records as files,
// behind a manager's key.
#include "hub/day_page.h"

#include <algorithm>
#include <atomic>
#include <fstream>
#include <iterator>
#include <memory>

#include "base/clock.h"
#include "base/text.h"
#include "hub/commands.h"
#include "running_hub.h"

namespace nthtree::hub {
namespace {

using test::body_of;
using test::record_of;
using test::RunningHub;
using test::status_of;

std::string get(const RunningHub& hub, const std::string& target, const std::string& authorization,
                const std::string& method = "GET") {
  test::RawHttp http(hub.port());
  http.say(method + " " + target + " HTTP/1.1\r\nHost: hub\r\n" +
           (authorization.empty() ? "" : "Authorization: " + authorization + "\r\n") +
           "Connection: close\r\n\r\n");
  return http.hear();
}

// RFC 4648, for short texts.
std::string base64(std::string_view text) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  for (std::size_t at = 0; at < text.size(); at += 3) {
    unsigned bits = 0;
    const std::size_t n = std::min<std::size_t>(3, text.size() - at);
    for (std::size_t i = 0; i < 3; ++i) {
      bits = bits << 8 | (i < n ? static_cast<unsigned char>(text[at + i]) : 0u);
    }
    for (std::size_t i = 0; i < 4; ++i) {
      out += i <= n ? digits[bits >> (18 - 6 * i) & 63] : '=';
    }
  }
  return out;
}

ledger::PersonSettings person(const std::string& id, const std::string& name, orchard::Role role) {
  return {{id, name, role, true, ""}};
}

// A farm of two people with four counts on the first day and one on the second.
constexpr int noon = 12 * 60;  // minutes; of whatever clock the farm has

std::vector<ledger::Record> farm() {
  ledger::FarmSettings settings;
  settings.name = "North <Slope> & \"Sons\"";
  ledger::Record late = record_of(RunningHub::device, 8, noon + 24 * 60, test::tag(1, 6, 70), "p1");
  return {record_of(RunningHub::device, 1, noon + 0, settings, "m1"),
          record_of(RunningHub::device, 2, noon + 1, person("p1", "Ana", orchard::Role::pruner), "m1"),
          record_of(RunningHub::device, 3, noon + 2, test::tag(1, 1, 100), "p1"),
          record_of(RunningHub::device, 4, noon + 3, test::tag(1, 2, 120), "p1"),
          record_of(RunningHub::device, 5, noon + 4, test::tag(1, 3, 140), "p1"),
          record_of(RunningHub::device, 6, noon + 5, ledger::CheckCount{"b1", {1, 3}, 150, 60}, "m1"),
          record_of(RunningHub::device, 7, noon + 6, ledger::RowDone{"b1", 4, "p1", {}, {}, {}, ""}, "p1"),
          late};
}

void push_all(RunningHub& hub, const std::string& key) {
  hub.now_ms = test::monday_ms + 2 * base::day_ms;  // no stamp is ahead of its arrival
  sync::PushRequest push{RunningHub::device, {}, {}, {}};
  const auto records = farm();
  for (const ledger::Record& record : records) {
    push.ids.push_back(record.id);
    push.lines.push_back(record.bytes);
  }
  REQUIRE(status_of(test::post(hub.port(), "/v1/push", key, write(push))) == 200);
}

TEST_SUITE("hub: pages") {

TEST_CASE("RFC 4648, section 10: the password of a browser is taken apart as it was put together") {
  CHECK(base64("foobar") == "Zm9vYmFy");
  CHECK(base64("fooba") == "Zm9vYmE=");
  CHECK(base64("foob") == "Zm9vYg==");
}

TEST_CASE("whoever had no phone could read nothing of the day") {
  RunningHub hub;
  const std::string key = hub.join();
  push_all(hub, key);
  const std::string monday = base::iso_minute(test::monday_ms).substr(0, 10);
  const std::string target = "/v1/day?date=" + monday;
  for (const std::string& credentials :
       {"Bearer " + key, "Basic " + base64("office:" + key), "Basic " + base64(":" + key)}) {
    const std::string told = get(hub, target, credentials);
    CHECK(status_of(told) == 200);
    CHECK(told.find("text/html") != std::string::npos);
    CHECK(told.find("style-src 'self'") != std::string::npos);
    // 100, 120 and 140: 120 in the mean, three trees.
    CHECK(told.find("<th scope=\"row\">Ana</th><td class=\"n\">3</td><td class=\"n\">120</td>"
                    "<td class=\"n\">100</td><td class=\"n\">140</td>") != std::string::npos);
    CHECK(told.find("<script") == std::string::npos);
    CHECK(told.find("<Slope>") == std::string::npos);
    CHECK(told.find("North &lt;Slope&gt; &amp; &quot;Sons&quot;") != std::string::npos);
  }
  CHECK(get(hub, target + "&lang=es", "Bearer " + key).find("Árboles contados") !=
        std::string::npos);
  CHECK(get(hub, "/v1/day?date=2020-01-01", "Bearer " + key).find("Nothing was counted") !=
        std::string::npos);
  CHECK(get(hub, "/v1/day.css", "").find("@page") != std::string::npos);
}

TEST_CASE("a day counted by limbs was empty, and so was every day of a closed season") {
  ledger::Season season;
  ledger::PartCount part{"b1", {4, 7}, {{20, 2, 4}, {6, 6, 6, 6, 6}, 60}};
  season.apply(record_of(RunningHub::device, 1, noon, part, "p1"));
  const std::int64_t day = season.day_of(test::monday_ms + noon * std::int64_t{60000});
  const std::string row = "<td class=\"n\">1</td><td class=\"n\">120</td>";
  CHECK(day_page(season, {day, "en"}).find(row) != std::string::npos);
  season.apply(record_of(RunningHub::device, 2, noon + 60, ledger::SeasonClosed{2026}, "m1"));
  CHECK(day_page(season, {day, "en"}).find(row) != std::string::npos);
}

TEST_CASE("the pages are behind a manager's key, and a browser is asked for it") {
  RunningHub hub;
  const std::string first = hub.next_code(), manager = hub.join();
  hub.next_code(first);
  const std::string pruner = hub.join();
  push_all(hub, manager);
  for (const char* path : {"/v1/day", "/v1/counts.csv", "/v1/records.csv", "/v1/records.jsonl"}) {
    CAPTURE(path);
    const std::string stranger = get(hub, path, "");
    CHECK(status_of(stranger) == 401);
    CHECK(stranger.find("WWW-Authenticate: Basic") != std::string::npos);
    CHECK(stranger.find("Ana") == std::string::npos);
    for (const std::string& bad : {"Basic " + base64("office:wrong"), std::string("Basic !!!!"),
                                   std::string("Basic "), "Basic " + base64(manager)}) {
      CHECK(status_of(get(hub, path, bad)) == 401);
    }
    CHECK(status_of(get(hub, path, "Bearer " + pruner)) == 403);
    CHECK(status_of(get(hub, path, "Bearer " + manager, "DELETE")) == 405);
    CHECK(status_of(get(hub, path, "Bearer " + manager)) == 200);
  }
}

TEST_CASE("backups that had stopped were told in the log alone") {
  std::atomic<std::int64_t> last_ms = test::monday_ms - 47 * 3600000LL;
  RunningHub hub({}, 0, [&](RunningHub& made) {
    made.last_backup_ms = [&] { return last_ms.load(); };
    made.steady_seconds = [n = std::make_shared<std::atomic<int>>()] {
      return 60.0 * ++*n;  // health is tried each time
    };
  });
  const std::string key = hub.join();
  const auto told = [&](const char* word) {
    const std::string listed = body_of(test::post(hub.port(), "/v1/keys", key, "{}"));
    return get(hub, "/v1/health", "").find(word) != std::string::npos &&
           listed.find(word) != std::string::npos;
  };
  CHECK(told("\"backup_old\":false"));
  last_ms -= 2 * 3600000LL;  // more than twice a day
  CHECK(told("\"backup_old\":true"));
}

TEST_CASE("counts and records of a farm and a season, by page and by command, are the same") {
  RunningHub hub;
  const std::string key = hub.join();
  push_all(hub, key);
  const std::string monday = base::iso_minute(test::monday_ms).substr(0, 10);
  const std::string until = "to=" + monday, credentials = "Bearer " + key;
  const std::string counts = body_of(get(hub, "/v1/counts.csv?" + until, credentials));
  CHECK(counts.find("Ana") != std::string::npos);
  CHECK(counts.find(",70,") == std::string::npos);  // the day after
  const std::string lines = body_of(get(hub, "/v1/records.jsonl?" + until, credentials));
  CHECK(std::count(lines.begin(), lines.end(), '\n') == 7);
  CHECK(lines.find(farm()[2].bytes) != std::string::npos);
  CHECK(body_of(get(hub, "/v1/records.csv", credentials)).find("Ana") != std::string::npos);

  hub.stop();
  Options options;
  options.data = hub.folder.path();
  options.to = monday;
  options.argument = hub.folder / "season.csv";
  options.format = "counts";
  REQUIRE(run_command("export", options).ok());
  std::ifstream file(options.argument, std::ios::binary);
  CHECK(std::string{std::istreambuf_iterator<char>(file), {}} == counts);
  options.to = "soon";
  CHECK_FALSE(run_command("export", options).ok());
  CHECK(run_command("page", {.data = options.data}).ok());
  hub.start(0);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
