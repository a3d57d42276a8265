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
  store.put(arrival, id, bytes, {}, {1, "tablet", 5});
}

TEST_SUITE("hub") {

TEST_CASE("the settings that durability hangs on are what the file says") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  Database reader;
  REQUIRE(reader.open(folder / "s", false).ok());
  CHECK(reader.value("PRAGMA journal_mode") == "wal");
  CHECK(reader.value("PRAGMA integrity_check") == "ok");
  CHECK(reader.value("PRAGMA user_version") == "2");
  // Debian's build has FULL as the default; the store sets and checks its own connection anyway.
  CHECK(reader.value("PRAGMA synchronous") == "2");
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

TEST_CASE("a byte that the disk changed went to every phone unnoticed") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  store->begin();
  put(*store, 1, {phone_a, 1}, "the first record");
  put(*store, 2, {phone_a, 2}, "the second record");
  REQUIRE(store->commit().ok());
  {
    Database disk;
    REQUIRE(disk.open(folder / "s", false).ok());
    disk.execute("UPDATE records SET bytes = CAST('the f1rst record' AS BLOB) WHERE sequence = 1");
    REQUIRE_FALSE(disk.failure());
  }
  std::vector<ledger::RecordId> held;
  store->each_held([&](const sync::HeldRecord& record) { held.push_back(record.id); });
  CHECK(held == std::vector<ledger::RecordId>{{phone_a, 2}});
  CHECK(store->damaged() == std::vector<ledger::RecordId>{{phone_a, 1}});
  CHECK_FALSE(store->bytes({phone_a, 1}));
  CHECK(store->page(0, 10, 1000).size() == 1);
  CHECK_FALSE(back_up(folder / "s", folder / "copy").ok());
  // A phone that still has it mends it.
  store->begin();
  put(*store, 3, {phone_a, 1}, "the first record");
  REQUIRE(store->commit().ok());
  CHECK(back_up(folder / "s", folder / "copy").ok());
}

TEST_CASE("a file of the first version becomes one of the second, and nothing of it is lost") {
  const TemporaryFolder folder;
  {
    Database old;
    REQUIRE(old.open(folder / "s", false).ok());
    old.execute(test::file_text("tests/data/hub_v1/schema.sql"));
    old.execute("INSERT INTO meta VALUES ('epoch', 'old epoch'), ('last_arrival', '9')");
    old.execute("INSERT INTO keys VALUES (1, x'01', 'tablet', 10, 0), (2, x'02', 'phone', 20, 30)");
    for (const char* row : {"1, x'00000000000000aa0000000000000001', 1, x'61', 'tablet #1', 100",
                            "2, x'00000000000000aa0000000000000001', 2, x'62', 'tablet #1', 101",
                            "3, x'00000000000000aa0000000000000001', 3, x'63', 'phone #2', 102",
                            "4, x'00000000000000bb0000000000000002', 1, x'64', 'import', 103"}) {
      old.execute(std::string("INSERT INTO records VALUES (") + row + ")");
    }
    REQUIRE_FALSE(old.failure());
  }
  auto store = open_store(folder / "s");
  CHECK(store->epoch() == "old epoch");
  CHECK(store->last_arrival() == 9);
  const ledger::DeviceKey device{0xaa, 1};
  CHECK(store->bytes({device, 3}) == "c");
  std::map<ledger::RecordId, std::int64_t> senders;
  store->each_held([&](const sync::HeldRecord& held) {
    CHECK(held.standing.usual());
    senders[held.id] = held.sender;
  });
  CHECK(senders.size() == 4);
  CHECK(senders[{device, 1}] == 1);
  CHECK(senders[{device, 3}] == 2);
  CHECK(store->damaged().empty());
  int owners = 0;
  store->each_owner([&](const ledger::DeviceKey& owned, std::int64_t key) {
    ++owners;
    CHECK(owned == device);
    CHECK(key == 1);  // that brought most of it
  });
  CHECK(owners == 1);
  const auto keys = store->keys();
  REQUIRE(keys.ok());
  CHECK(keys->at(0).role == orchard::Role::manager);
  CHECK(keys->at(1).withdrawn_ms == 30);
  CHECK(store->uses_of_keys()[1].records == 2);
}

TEST_CASE("a key withdrawn after a backup is withdrawn when that comes back") {
  const TemporaryFolder folder;
  const auto lost = sync::sha256("lost"), kept = sync::sha256("kept");
  {
    auto store = open_store(folder / "s");
    store->begin();
    store->add_key(lost, "lost", {}, 1);
    store->add_key(kept, "kept", {}, 2);
    REQUIRE(store->commit().ok());
    REQUIRE(back_up(folder / "s", folder / "copy").ok());
    store->begin();
    CHECK(store->withdraw_key(1, 50));
    REQUIRE(store->commit().ok());
  }
  std::filesystem::remove(folder / "s");
  REQUIRE(restore(folder / "copy", folder / "s").ok());
  const auto keys = open_store(folder / "s")->keys();
  REQUIRE(keys.ok());
  CHECK(keys->at(0).withdrawn_ms == 50);
  CHECK(keys->at(1).withdrawn_ms == 0);
}

TEST_CASE("a change by another process is noticed") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s"), other = open_store(folder / "s");
  const auto before = store->office_version();
  CHECK(store->office_version() == before);
  other->begin();
  other->add_code(sync::sha256("A"), 1, {});
  REQUIRE(other->commit().ok());
  CHECK(store->office_version() != before);
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
