// SPDX-License-Identifier: Apache-2.0
#include "hub/store_sqlite.h"

#include "hub/sqlite.h"
#include "support/records.h"
#include "sync/hub_side.h"
#include "temporary_folder.h"

namespace nthtree::hub {
namespace {

using test::phone_a;
using test::phone_b;
using test::TemporaryFolder;

std::unique_ptr<Store> open_store(const std::string& path, std::int64_t pages_max = 0) {
  auto store = open_sqlite_store(path, {pages_max});
  REQUIRE_MESSAGE(store.ok(), (store.ok() ? "" : store.error().text()));
  return std::move(*store);
}

void put(Store& store, std::uint64_t arrival, const ledger::RecordId& id, const char* bytes) {
  store.put(arrival, id, bytes, {phone_a, "tablet", 5});
}

TEST_SUITE("hub") {

TEST_CASE("what is committed is there after opening again, and what is not is not") {
  const TemporaryFolder folder;
  std::string epoch;
  {
    auto store = open_store(folder / "s");
    epoch = store->epoch();
    CHECK(epoch.size() == 32);
    store->begin();
    put(*store, 1, {phone_a, 1}, "one");
    put(*store, 2, {phone_b, 7}, "two");
    REQUIRE(store->commit().ok());
    store->begin();
    put(*store, 3, {phone_a, 2}, "three");
    store->rollback();
  }
  auto store = open_store(folder / "s");
  CHECK(store->epoch() == epoch);
  CHECK(store->last_arrival() == 2);
  CHECK(store->bytes({phone_a, 1}) == "one");
  CHECK(store->bytes({phone_b, 7}) == "two");
  CHECK_FALSE(store->bytes({phone_a, 2}));
  const auto page = store->page(0, 10, 1000);
  REQUIRE(page.size() == 2);
  CHECK(page[1].id == ledger::RecordId{phone_b, 7});
  CHECK(store->page(1, 10, 1000).size() == 1);
  CHECK(store->page(0, 1, 1000).size() == 1);
  CHECK(store->page(0, 10, 1).size() == 1);  // at least one, however long
}

TEST_CASE("the settings that durability hangs on are what the file says") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  Database reader;
  REQUIRE(reader.open(folder / "s", false).ok());
  CHECK(reader.value("PRAGMA journal_mode") == "wal");
  CHECK(reader.value("PRAGMA integrity_check") == "ok");
  CHECK(reader.value("PRAGMA user_version") == "1");
  // Debian's build has FULL as the default; the store sets and checks its own connection anyway.
  CHECK(reader.value("PRAGMA synchronous") == "2");
}

TEST_CASE("a replaced record gets a new arrival, a dropped one leaves its number for good") {
  const TemporaryFolder folder;
  {
    auto store = open_store(folder / "s");
    store->begin();
    put(*store, 1, {phone_a, 1}, "one");
    put(*store, 2, {phone_a, 1}, "other");
    put(*store, 3, {phone_a, 3}, "three");
    store->drop({phone_a, 3});
    REQUIRE(store->commit().ok());
    CHECK(store->last_arrival() == 3);
    CHECK(store->page(0, 10, 1000).size() == 1);
    CHECK(store->bytes({phone_a, 1}) == "other");
  }
  CHECK(open_store(folder / "s")->last_arrival() == 3);
}

TEST_CASE("an arrival is known by the start that gave it out") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  store->begin();
  store->note_opening();
  put(*store, 1, {phone_a, 1}, "one");
  const std::string first = store->opening_of(1);
  store->note_opening();
  put(*store, 2, {phone_a, 2}, "two");
  REQUIRE(store->commit().ok());
  CHECK(first.size() == 32);
  CHECK(store->opening_of(1) == first);
  CHECK(store->opening_of(2) != first);
  CHECK(store->opening_of(0).empty());
}

TEST_CASE("a full disk fails the commit, keeps what was there, and reading goes on") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s", 40);
  store->begin();
  put(*store, 1, {phone_a, 1}, "one");
  REQUIRE(store->commit().ok());
  store->begin();
  const std::string much(4000, 'x');
  for (std::uint64_t i = 2; i < 100; ++i) put(*store, i, {phone_a, i}, much.c_str());
  REQUIRE(store->failure());
  CHECK(store->failure()->id == "disk_full");
  CHECK_FALSE(store->commit().ok());
  CHECK_FALSE(store->failure());
  CHECK(store->bytes({phone_a, 1}) == "one");
  CHECK(store->last_arrival() == 1);
  store->begin();
  put(*store, 2, {phone_a, 2}, "small");
  CHECK(store->commit().ok());
}

TEST_CASE("a join code works once and not after its time") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  const auto code = sync::sha256("A"), late = sync::sha256("B");
  store->begin();
  store->add_code(code, 1000);
  store->add_code(late, 1000);
  CHECK(store->use_code(code, 999) == CodeUse::taken);
  CHECK(store->use_code(code, 999) == CodeUse::used);
  CHECK(store->use_code(code, 2000) == CodeUse::used);
  CHECK(store->use_code(late, 1000) == CodeUse::expired);
  CHECK(store->use_code(sync::sha256("C"), 1) == CodeUse::unknown);
  REQUIRE(store->commit().ok());
}

TEST_CASE("keys are listed and withdrawn, and only their digest is in the file") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  store->begin();
  store->add_key(sync::sha256("secret-of-a-phone"), "tablet", 7);
  REQUIRE(store->commit().ok());
  REQUIRE(store->keys().size() == 1);
  CHECK(store->keys()[0].hash == sync::sha256("secret-of-a-phone"));
  CHECK(store->keys()[0].withdrawn_ms == 0);
  store->begin();
  CHECK(store->withdraw_key(store->keys()[0].id, 9));
  CHECK_FALSE(store->withdraw_key(99, 9));
  REQUIRE(store->commit().ok());
  CHECK(store->keys()[0].withdrawn_ms == 9);
}

TEST_CASE("two phones of one name are told apart by what they sent last") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  const KeyOfPhone first{1, {}, "phone", 0, 0}, second{2, {}, "phone", 0, 0}, third{3, {}, "phone"};
  store->begin();
  store->put(1, {phone_a, 1}, "{\"n\":1}", {phone_a, carrier_of(first), 50});
  store->put(2, {phone_a, 2}, "{\"n\":2}", {phone_a, carrier_of(first), 60});
  store->put(3, {phone_b, 1}, "{\"n\":3}", {phone_b, carrier_of(second), 70});
  REQUIRE(store->commit().ok());
  REQUIRE(store->last_record_of(carrier_of(first)));
  CHECK(store->last_record_of(carrier_of(first))->received_ms == 60);
  CHECK(store->last_record_of(carrier_of(second))->bytes == "{\"n\":3}");
  CHECK_FALSE(store->last_record_of(carrier_of(third)));
}

TEST_CASE("a change by another process is noticed") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s"), other = open_store(folder / "s");
  const auto before = store->changes_of_others();
  CHECK(store->changes_of_others() == before);
  other->begin();
  other->add_code(sync::sha256("A"), 1);
  REQUIRE(other->commit().ok());
  CHECK(store->changes_of_others() != before);
}

TEST_CASE("a backup of a store in use is whole, and only then do phones hear of it") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  sync::HubSide side(*store);
  REQUIRE(side.open().ok());
  store->begin();
  std::vector<ledger::Record> records;
  for (std::uint64_t i = 1; i <= 5; ++i) {
    records.push_back(test::record_of(phone_a, i, 1, test::tag(1, 1, 1)));
  }
  REQUIRE(side.import(records, 1).ok());
  REQUIRE(store->commit().ok());
  CHECK(store->backed_up(phone_a) == 0);
  const auto saved = back_up(folder / "s", folder / "copy");
  REQUIRE_MESSAGE(saved.ok(), (saved.ok() ? "" : saved.error().text()));
  CHECK(*saved == 5);
  CHECK(store->backed_up(phone_a) == 5);
  CHECK_FALSE(std::filesystem::exists(folder / "copy-wal"));
  CHECK_FALSE(back_up(folder / "s", folder / "copy").ok());  // overwrites nothing
  CHECK_FALSE(back_up(folder / "nothing", folder / "c2").ok());

  SUBCASE("and comes back under a new epoch") {
    const std::string epoch = store->epoch();
    store->begin();
    put(*store, 9, {phone_b, 1}, "later");
    REQUIRE(store->commit().ok());
    store.reset();
    const auto restored = restore(folder / "copy", folder / "s");
    REQUIRE_MESSAGE(restored.ok(), (restored.ok() ? "" : restored.error().text()));
    auto again = open_store(folder / "s");
    CHECK(again->epoch() != epoch);
    CHECK(again->bytes({phone_a, 5}) == records[4].bytes);
    CHECK_FALSE(again->bytes({phone_b, 1}));
    CHECK(again->backed_up(phone_a) == 5);
    CHECK(open_store(folder / "s.before")->bytes({phone_b, 1}) == "later");
  }
  SUBCASE("a damaged one is refused and changes nothing") {
    std::filesystem::resize_file(folder / "copy", 5000);
    CHECK_FALSE(restore(folder / "copy", folder / "s").ok());
    CHECK(store->bytes({phone_a, 5}));
  }
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
