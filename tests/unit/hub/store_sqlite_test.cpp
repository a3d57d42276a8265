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
  CHECK(reader.value("PRAGMA user_version") == "2");
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
  CodeFor who;
  store->add_code(code, 1000, {orchard::Role::lead, "p3", "tablet 3"});
  store->add_code(late, 1000, {});
  CHECK(store->codes(999).size() == 2);
  CHECK(store->codes(1000).empty());
  CHECK(store->use_code(code, 999, who) == CodeUse::taken);
  CHECK(who.role == orchard::Role::lead);
  CHECK(who.person == "p3");
  CHECK(who.name == "tablet 3");
  CHECK(store->codes(999).size() == 1);
  CHECK(store->use_code(code, 999, who) == CodeUse::used);
  CHECK(store->use_code(code, 2000, who) == CodeUse::used);
  CHECK(store->use_code(late, 1000, who) == CodeUse::expired);
  CHECK(store->use_code(sync::sha256("C"), 1, who) == CodeUse::unknown);
  REQUIRE(store->commit().ok());
}

TEST_CASE("keys are listed and withdrawn, and only their digest is in the file") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  store->begin();
  store->add_key(sync::sha256("secret-of-a-phone"), "tablet", {orchard::Role::lead, "p3", ""}, 7);
  REQUIRE(store->commit().ok());
  const auto only = [&] {
    const auto keys = store->keys();
    REQUIRE(keys.ok());
    REQUIRE(keys->size() == 1);
    return keys->front();
  };
  CHECK(only().hash == sync::sha256("secret-of-a-phone"));
  CHECK(only().withdrawn_ms == 0);
  CHECK(only().role == orchard::Role::lead);
  CHECK(only().person == "p3");
  store->begin();
  CHECK(store->change_key(only().id, "Ana's", {orchard::Role::pruner, "p4", ""}));
  CHECK_FALSE(store->change_key(99, "x", {}));
  CHECK(store->withdraw_key(only().id, 9));
  CHECK_FALSE(store->withdraw_key(99, 9));
  REQUIRE(store->commit().ok());
  CHECK(only().withdrawn_ms == 9);
  CHECK(only().name == "Ana's");
  CHECK(only().role == orchard::Role::pruner);
}

TEST_CASE("two phones of one name are told apart by what they sent last") {
  const TemporaryFolder folder;
  auto store = open_store(folder / "s");
  store->begin();
  store->put(1, {phone_a, 1}, "{\"n\":1}", {}, {1, "phone #1", 50});
  store->put(2, {phone_a, 2}, "{\"n\":2}", {}, {1, "phone #1", 60});
  store->put(3, {phone_b, 1}, "{\"n\":3}", {}, {2, "phone #2", 70});
  REQUIRE(store->commit().ok());
  CHECK(store->last_record_of(1) == "{\"n\":2}");
  CHECK(store->last_record_of(2) == "{\"n\":3}");
  CHECK_FALSE(store->last_record_of(3));
  CHECK(store->uses_of_keys()[1].last_ms == 60);
  CHECK(store->uses_of_keys()[1].records == 2);
  CHECK(store->uses_of_keys()[2].bytes == 7);
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

TEST_CASE("how a record stands, whose a device is and what was removed are kept") {
  const TemporaryFolder folder;
  {
    auto store = open_store(folder / "s");
    store->begin();
    store->put(1, {phone_a, 1}, "one", {sync::Rank::hearsay, "role", 77}, {3, "tablet #3", 5});
    store->put(2, {phone_a, 2}, "two", {}, {3, "tablet #3", 6});
    store->remove(3, {phone_a, 2});
    store->set_owner(phone_b, 4);
    store->set_aside({phone_a, 9}, "garbage", "why", {3, "tablet #3", 7});
    REQUIRE(store->commit().ok());
  }
  auto store = open_store(folder / "s");
  store->each_held([&](const sync::HeldRecord& held) {
    CHECK(held.id == ledger::RecordId{phone_a, 1});
    CHECK(held.standing == sync::Standing{sync::Rank::hearsay, "role", 77});
    CHECK(held.sender == 3);
    CHECK(held.received_ms == 5);
  });
  store->each_removed(
      [&](const ledger::RecordId& id) { CHECK(id == ledger::RecordId{phone_a, 2}); });
  store->each_owner([&](const ledger::DeviceKey& device, std::int64_t key) {
    CHECK(device == phone_b);
    CHECK(key == 4);
  });
  store->each_set_aside([&](const ledger::RecordId& id, std::int64_t key) {
    CHECK(id == ledger::RecordId{phone_a, 9});
    CHECK(key == 3);
  });
  const auto page = store->page(0, 10, 1000);
  REQUIRE(page.size() == 2);
  CHECK(page[0].standing == sync::Standing{sync::Rank::hearsay, "role", 77});
  CHECK(page[1].bytes.empty());
  CHECK(page[1].arrival == 3);
  CHECK_FALSE(store->bytes({phone_a, 2}));
  CHECK(store->last_arrival() == 3);
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
