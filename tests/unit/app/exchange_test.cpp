// SPDX-License-Identifier: Apache-2.0
//
// Two whole phones and no network: what one hands over the other takes in, by file and by codes,
// once and for all.
#include <doctest/doctest.h>

#include <set>

#include "app/batch.h"
#include "ledger/record_table.h"
#include "support/records.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;
using screens::Showing;
using screens::Taken;

namespace {

const screens::Exchange& exchange_of(const Phone& phone) { return phone.app.session().exchange; }

// From the first home screen of a started farm to the page that hands over.
void open_hand_over(Phone& phone) {
  CHECK(phone.tap(words("hand.title")));
  CHECK(phone.here() == ScreenId::hand_over);
}

std::string file_of(Phone& phone, PlatformNative& platform) {
  open_hand_over(phone);
  CHECK(phone.tap(words("hand.file")));
  REQUIRE(platform.files.size() == 1);
  return platform.files.front().bytes;
}

void give_file(Phone& phone, PlatformNative& platform, const std::string& bytes) {
  phone.app.on_file("nthtree.txt", bytes);
  platform.deliver();
  phone.look();
}

// Time goes by as in a browser: the wake that was asked for, then a frame.
void pass(Phone& phone, PlatformNative& platform, std::int64_t by_ms) {
  platform.advance(by_ms);
  phone.look();
}

// A season of three phones that wrote by turns; every second record lies in another's packed block.
sync::RecordStore store_of_three(std::vector<ledger::Record>& in_order) {
  sync::RecordStore store;
  for (std::uint64_t n = 1; n <= 9000; ++n) {
    const ledger::DeviceKey device{7, 1 + n % 3};
    in_order.push_back(test::record_of(device, (n + 2) / 3, static_cast<int>(n),
                                       test::tag(1 + static_cast<int>(n % 60), 1, 100)));
  }
  for (const ledger::Record& record : in_order) store.put(record.id, record.bytes);
  return store;
}

}  // namespace

TEST_SUITE("shell: from phone to phone") {
  TEST_CASE("the table of a large season was in memory as a whole, several times") {
    std::vector<ledger::Record> records;
    const sync::RecordStore store = store_of_three(records);
    const auto farm = base::TimeZone::fixed(60);
    PlatformNative platform;
    FileOut out(platform);
    write_record_table(store, farm, out);
    out.save("t.csv", "text/csv", false);
    REQUIRE(platform.files.size() == 1);
    CHECK(platform.files.front().bytes == ledger::record_table(records, farm));
    CHECK(platform.files.front().bytes.size() > 1000000);
    CHECK(platform.file_part_bytes_most < 300000);
    write_lines(store.coverage(), store, out);
    out.save("t.jsonl", "application/json", false);
    CHECK(platform.files.back().bytes == lines_of(store.coverage(), store));
    CHECK(platform.file_part_bytes_most < 300000);
  }


  TEST_CASE("a file from one phone makes the other's ledger equal, and twice is once") {
    PlatformNative here(1), there(2);
    Phone giver(here);
    start_farm(giver);
    const std::string bytes = file_of(giver, here);
    CHECK(here.files.front().name == "nthtree-2026-02-02.txt");
    CHECK(here.files.front().mime == "text/plain");
    CHECK_FALSE(here.files.front().share);
    Phone taker(there);
    give_file(taker, there, bytes);
    CHECK(there.records == here.records);
    CHECK(taker.here() == ScreenId::receive);
    CHECK(exchange_of(taker).taken.state == Taken::State::done);
    CHECK(exchange_of(taker).taken.fresh == 2);
    const auto before = there.records;
    give_file(taker, there, bytes);
    CHECK(exchange_of(taker).taken.fresh == 0);
    CHECK(exchange_of(taker).taken.known == 2);
    CHECK(taker.find(words("take.nothing_new")));
    CHECK(there.records == before);
    CHECK(taker.app.season().fingerprint() == giver.app.season().fingerprint());
  }

  TEST_CASE("codes go round until the screen is left, each round whole, and make the same ledger") {
    PlatformNative here(1), there(2);
    here.bytes_a_code = 60;
    Phone giver(here);
    start_farm(giver);
    open_hand_over(giver);
    REQUIRE(exchange_of(giver).showing.state == Showing::State::ready);
    const int codes = exchange_of(giver).showing.codes;
    CHECK(codes > 5);
    CHECK(giver.tap(words("hand.codes")));
    CHECK(giver.here() == ScreenId::show_codes);
    CHECK(here.awake);
    for (int i = 0; i < 3 * codes + 2; ++i) pass(giver, here, 160);
    REQUIRE(here.codes_drawn.size() >= static_cast<std::size_t>(3 * codes));
    std::vector<std::vector<int>> rounds;
    for (int round = 0; round < 3; ++round) {
      const auto from = here.codes_drawn.begin() + round * codes;
      rounds.emplace_back(from, from + codes);
      CHECK(std::set<int>(from, from + codes).size() == static_cast<std::size_t>(codes));
    }
    CHECK(std::is_sorted(rounds[0].begin(), rounds[0].end()));
    CHECK(rounds[1] != rounds[2]);
    CHECK(exchange_of(giver).showing.round >= 3);

    there.has_camera = true;
    Phone taker(there);
    CHECK(taker.tap(words("welcome.receive")));
    CHECK(taker.tap(words("camera.scan_codes")));
    CHECK(there.scanning);
    CHECK(there.awake);
    taker.app.on_scan_progress({codes - 1, codes, 0, {3}});
    taker.look();
    CHECK(exchange_of(taker).camera.missing == std::vector<int>{3});
    std::string content;
    for (const std::string& code : here.codes) content += code;
    taker.app.on_scan(content, true);
    there.deliver();
    taker.look();
    CHECK_FALSE(there.scanning);
    CHECK_FALSE(there.awake);
    CHECK(there.records == here.records);
    CHECK(exchange_of(taker).taken.fresh == 2);
  }

  TEST_CASE("a pause holds the code, a code chosen by hand stays, and going on goes up from it") {
    PlatformNative platform;
    platform.bytes_a_code = 40;
    Phone phone(platform);
    start_farm(phone);
    open_hand_over(phone);
    CHECK(phone.tap(words("hand.codes")));
    pass(phone, platform, 160);
    CHECK(phone.tap(words("codes.pause")));
    const int held = exchange_of(phone).showing.code;
    pass(phone, platform, 5000);
    CHECK(exchange_of(phone).showing.code == held);
    phone.tap_id("number/more", 3);
    CHECK(exchange_of(phone).showing.code == held + 3);
    CHECK(phone.tap(words("codes.go_on")));
    pass(phone, platform, 160);
    CHECK(exchange_of(phone).showing.code == held + 4);
    // Left and opened again: nothing is drawn meanwhile.
    phone.app.on_back();
    phone.look();
    const std::size_t drawn = platform.codes_drawn.size();
    pass(phone, platform, 5000);
    CHECK(platform.codes_drawn.size() == drawn);
    CHECK_FALSE(platform.awake);
  }

  TEST_CASE("today's batch leaves yesterday out and brings the farm's settings along") {
    PlatformNative platform, there(2);
    Phone phone(platform);
    start_farm(phone);
    platform.now_ms += 3 * 24 * 3600 * 1000LL;
    open_hand_over(phone);
    const auto& batch_sizes = exchange_of(phone).batch_sizes;
    CHECK(batch_sizes[static_cast<std::size_t>(screens::Batch::today)].records == 2);
    CHECK(batch_sizes[static_cast<std::size_t>(screens::Batch::everything)].records == 2);
    CHECK(exchange_of(phone).showing.batch == screens::Batch::today);

    PlatformNative season;
    put_season(season);
    season.now_ms = 1'770'516'000'000;  // the evening of the demo week's last day
    Phone full(season);
    full.tap_id("person/m1");
    open_hand_over(full);
    const auto& of_week = exchange_of(full).batch_sizes;
    const auto today = of_week[static_cast<std::size_t>(screens::Batch::today)];
    const auto all = of_week[static_cast<std::size_t>(screens::Batch::everything)];
    CHECK(all.records == static_cast<std::int64_t>(season.records.size()));
    CHECK(today.records > 20);
    CHECK(today.records < all.records / 2);
    CHECK(full.tap(words("hand.file")));
    Phone taker(there);
    give_file(taker, there, season.files.front().bytes);
    CHECK(exchange_of(taker).taken.fresh == today.records);
    CHECK(taker.app.season().has_farm());
    CHECK(taker.app.season().people().size() == full.app.season().people().size());
  }

  TEST_CASE("today's records went without what the farm had set of its varieties the week before") {
    PlatformNative season, there(2);
    put_season(season);
    season.now_ms = 1'770'516'000'000;
    ledger::VarietySettings gala;
    gala.variety.name = "Gala";
    gala.variety.insurance_factor = 1.9;
    const ledger::Record record = test::record_of(test::phone_a, 1, 0, gala, "m1");
    season.records[{test::phone_a.text(), 1}] = record.bytes;
    Phone giver(season), taker(there);
    giver.tap_id("person/m1");
    open_hand_over(giver);
    CHECK(giver.tap(words("hand.file")));
    give_file(taker, there, season.files.front().bytes);
    REQUIRE(taker.app.season().variety_changes().size() == 1);
    CHECK(taker.app.season().variety_changes().front().insurance_factor == 1.9);
  }

  TEST_CASE("a file cut short gives what is whole and tells of the rest") {
    PlatformNative here(1), there(2);
    Phone giver(here);
    start_farm(giver);
    const std::string bytes = file_of(giver, here);
    Phone taker(there);
    give_file(taker, there, bytes.substr(0, bytes.size() - 20));
    CHECK(exchange_of(taker).taken.fresh == 1);
    CHECK(exchange_of(taker).taken.damaged == 1);
    give_file(taker, there, "\xef\xbb\xbf" + bytes);  // with the mark that editors put in front
    CHECK(there.records == here.records);
    CHECK(exchange_of(taker).taken.damaged == 0);
    const auto before = there.records;
    for (const char* other : {"", "\n\n", "name,spurs\nAna,12\n", "\x89PNG\r\n\x1a\n", "{}"}) {
      give_file(taker, there, other);
      CHECK(taker.find(words("take.no_records")));
    }
    CHECK(there.records == before);
  }

  TEST_CASE("another farm's records wait for a yes") {
    PlatformNative here(1), there(2);
    Phone giver(here), taker(there);
    start_farm(giver);
    const std::string bytes = file_of(giver, here);
    CHECK(taker.tap(words("welcome.start")));
    taker.type(words("start.farm"), "North Slope");
    taker.type(words("start.you"), "Robin");
    CHECK(taker.tap(words("start.go")));
    const auto own = there.records;
    give_file(taker, there, bytes);
    CHECK(there.records == own);
    CHECK(taker.tap(words("take.other_no")));
    CHECK(there.records == own);
    give_file(taker, there, bytes);
    CHECK(taker.tap(words("take.other_yes")));
    CHECK(there.records.size() == own.size() + 2);
    CHECK(exchange_of(taker).taken.fresh == 2);
  }

  TEST_CASE("a disk that refuses is told, and the records come in when it takes them") {
    PlatformNative here(1), there(2);
    Phone giver(here), taker(there);
    start_farm(giver);
    const std::string bytes = file_of(giver, here);
    there.next_outcome = StoreOutcome::full;
    give_file(taker, there, bytes);
    CHECK(there.records.empty());
    CHECK(exchange_of(taker).taken.state == Taken::State::taking);
    CHECK(taker.find(words("take.disk")));
    there.next_outcome = StoreOutcome::saved;
    for (int i = 0; i < 20; ++i) pass(taker, there, 10000);
    CHECK(there.records == here.records);
    CHECK(exchange_of(taker).taken.state == Taken::State::done);
  }

  TEST_CASE("a camera that says no is named, and leaving the page switches it off") {
    PlatformNative platform;
    platform.has_camera = true;
    Phone phone(platform);
    CHECK(phone.tap(words("welcome.receive")));
    const std::pair<const char*, const char*> cases[] = {
        {"NotAllowedError: Permission dismissed", "camera.refused"},
        {"NotFoundError: Requested device not found", "camera.none"},
        {"NotReadableError: Could not start", "camera.busy"},
        {"TypeError: x", "camera.failed"},
    };
    for (const auto& [detail, key] : cases) {
      CHECK(phone.tap(words("camera.scan_codes")));
      phone.app.on_scan_stopped(detail);
      phone.look();
      CHECK_FALSE(exchange_of(phone).camera.on);
      CHECK(phone.find(words(key)));
    }
    CHECK(phone.tap(words("camera.scan_codes")));
    CHECK(platform.scanning);
    phone.app.on_back();
    phone.look();
    CHECK_FALSE(platform.scanning);
    CHECK_FALSE(platform.awake);
  }

  TEST_CASE("a join code is scanned into its field; other codes are told and leave it alone") {
    PlatformNative platform;
    platform.has_camera = true;
    Phone phone(platform);
    CHECK(phone.tap(words("welcome.join")));
    CHECK(phone.tap(words("join.scan")));
    for (const char* other : {"https://example.invalid/menu", "4006381333931", "NTH1:broken"}) {
      phone.app.on_scan(other, false);
      phone.look();
      CHECK(platform.scanning);
      CHECK(phone.find(words("camera.other_code")));
      CHECK(phone.app.session().fields.count("code") == 0);
    }
    phone.app.on_scan("http://192.168.1.4:8080/#join=ABCDE-23456", false);
    phone.look();
    CHECK_FALSE(platform.scanning);
    CHECK(phone.app.session().fields.at("code") == "ABCDE-23456");
    CHECK_FALSE(phone.find(words("camera.other_code")));
  }

  TEST_CASE("nothing of the demo is handed over, and nothing comes into it") {
    PlatformNative platform, farm;
    const std::string lines = put_demo(platform, farm);
    Phone phone(platform);
    CHECK(phone.tap(words("welcome.demo")));
    phone.app.on_file("x.txt", lines);
    platform.deliver();
    phone.look();
    CHECK(platform.records.empty());
    phone.app.on_scan(lines, true);
    platform.deliver();
    CHECK(platform.records.empty());
  }
}
