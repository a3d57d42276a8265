// SPDX-License-Identifier: Apache-2.0
//
// What only a store that several hubs and farms share can get wrong. store_test.cpp has the rest.
#include "hub/store_postgresql.h"

#include <future>
#include <thread>

#include "hub/postgresql.h"
#include "hub/writer.h"
#include "store_of_test.h"
#include "support/records.h"
#include "sync/hub_side.h"

namespace nthtree::hub {
namespace {

using test::phone_a;
using test::phone_b;

std::unique_ptr<Store> open_at(const std::string& address, const std::string& farm = "north") {
  auto store = open_postgresql_store({address, farm, true});
  REQUIRE_MESSAGE(store.ok(), (store.ok() ? "" : store.error().text()));
  return std::move(*store);
}

struct Hub {  // its store, and what it has in memory
  explicit Hub(const std::string& address) : store(open_at(address)), side(*store) {
    REQUIRE(side.open().ok());
  }
  void begin() {
    store->begin();
    REQUIRE(side.catch_up().ok());
  }
  void take(const ledger::DeviceKey& device, std::uint64_t first, std::uint64_t last) {
    std::vector<ledger::Record> records;
    for (std::uint64_t s = first; s <= last; ++s) {
      records.push_back(test::record_of(device, s, 1, test::tag(1, 1, static_cast<int>(s))));
    }
    begin();
    REQUIRE(side.import(records, test::monday_ms).ok());
    const auto committed = store->commit();
    REQUIRE_MESSAGE(committed.ok(), (committed.ok() ? "" : committed.error().text()));
  }
  std::unique_ptr<Store> store;
  sync::HubSide side;
};

#define SKIP_WITHOUT_SERVER() \
  if (!test::has_postgresql()) return

TEST_SUITE("hub") {

TEST_CASE("two hubs on one farm give each arrival once, and each knows what the other took") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  Hub one(address), two(address);
  one.take(phone_a, 1, 3);
  two.take(phone_b, 1, 2);
  one.take(phone_a, 4, 4);
  // Other bytes under an id that the other hub holds: both are re-homed and kept, on either hub.
  two.begin();
  const auto clash = test::record_of(phone_a, 2, 1, test::tag(9, 9, 99));
  REQUIRE(two.side.import({clash}, test::monday_ms).ok());
  two.store->set_owner(phone_b, 7);
  two.side.remove({phone_a, 3});
  two.store->set_aside({phone_b, 50}, "garbage", "why", {7, "x", 1});
  REQUIRE(two.store->commit().ok());
  one.begin();
  REQUIRE(one.store->commit().ok());
  Hub fresh(address);
  CHECK(one.side.held() == fresh.side.held());
  CHECK(two.side.held() == fresh.side.held());
  CHECK(one.side.records() == fresh.side.records());
  CHECK(one.side.head(phone_a) == fresh.side.head(phone_a));
  CHECK(one.side.owner_of(phone_b) == 7);
  const auto page = fresh.store->page(0, 100, 1 << 20);
  CHECK(page.back().arrival == fresh.store->last_arrival());
}

TEST_CASE("a reader who follows the arrivals while two hubs write misses none") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  open_at(address);  // the tables
  constexpr std::uint64_t batches = 40, batch = 5;
  std::atomic<int> writing = 2;
  const auto write = [&](const ledger::DeviceKey& device) {
    Hub hub(address);
    for (std::uint64_t i = 0; i < batches; ++i) hub.take(device, i * batch + 1, (i + 1) * batch);
    --writing;
  };
  std::thread first([&] { write(phone_a); }), second([&] { write(phone_b); });
  // As a phone does, through a third hub, which takes no lock of its own.
  auto reader = open_at(address);
  std::set<ledger::RecordId> seen;
  std::uint64_t cursor = 0;
  for (bool last = false;; last = writing == 0) {
    const auto page = reader->page(cursor, 7, 1 << 20);
    for (const sync::Arrival& arrival : page) {
      seen.insert(arrival.id);
      cursor = arrival.arrival;
    }
    if (page.empty() && last) break;
  }
  first.join();
  second.join();
  CHECK(seen.size() == 2 * batches * batch);
}

TEST_CASE("an engine that does not honour the lock cannot give an arrival twice") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  Hub hub(address);
  hub.begin();
  REQUIRE(hub.side.import({test::record_of(phone_a, 1, 1, test::tag(1, 1, 1))}, 1).ok());
  test::TemporaryPostgresql::get().execute_as_superuser(address, "UPDATE farms SET change = 99");
  const auto committed = hub.store->commit();
  REQUIRE_FALSE(committed.ok());
  CHECK(committed.error().id == "store_busy");
  CHECK_FALSE(hub.store->bytes({phone_a, 1}));
}

TEST_CASE("a farm that another hub holds too long is busy, and not an error for a person") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  auto one = open_at(address), two = open_at(address);
  one->begin();
  two->begin();  // waits five seconds
  REQUIRE(two->failure());
  CHECK(is_passing(*two->failure()));
  two->rollback();
  one->rollback();
  two->begin();
  CHECK(two->commit().ok());
}

TEST_CASE("a farm saw another farm's rows") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  auto north = open_at(address, "north"), south = open_at(address, "south");
  for (Store* store : {north.get(), south.get()}) {
    store->begin();
    store->note_opening();
    store->put(1, {phone_a, 1}, store == north.get() ? "north's" : "south's", {}, {1, "t", 5});
    store->set_aside({phone_b, 1}, "x", "why", {1, "t", 5});
    store->set_owner(phone_a, 1);
    store->set_backed_up({{phone_a, 1}});
    store->add_key(sync::sha256(store == north.get() ? "n" : "s"), "tablet", {}, 1);
    store->add_code(sync::sha256("same code"), 99, {});
    REQUIRE(store->commit().ok());
  }
  CHECK(north->bytes({phone_a, 1}) == "north's");
  CHECK(south->bytes({phone_a, 1}) == "south's");
  CHECK(north->last_arrival() == 1);
  CHECK(north->keys()->size() == 1);
  CHECK(north->keys()->at(0).hash == sync::sha256("n"));
  CHECK(north->epoch() != south->epoch());

  // The second wall: statements that have forgotten the farm, as the hub's own role.
  PgConnection wall;
  REQUIRE(wall.open(address).ok());
  const char* const tables[] = {"farms", "records", "owners", "key_uses", "set_aside", "openings",
                                "backed_up", "join_codes", "keys"};
  const auto rows_of = [&](const std::string& table) {
    static std::map<std::string, std::string> statements;
    std::string& sql = statements.emplace(table, "SELECT 1 FROM " + table).first->second;
    return wall.query(sql.c_str()).size();
  };
  for (const char* table : tables) CHECK_MESSAGE(rows_of(table) == 0, table);
  wall.execute("SELECT set_config('nthtree.farm_name', 'north', false)");
  wall.execute("SELECT set_config('nthtree.farm', (SELECT id::text FROM farms), false)");
  for (const char* table : tables) CHECK_MESSAGE(rows_of(table) == 1, table);
  wall.execute("UPDATE records SET bytes = 'changed'");
  wall.execute("DELETE FROM keys");
  CHECK_FALSE(wall.failure());
  CHECK(south->bytes({phone_a, 1}) == "south's");
  CHECK(south->keys()->size() == 1);
  // Nor may a row be given to another farm.
  wall.execute("UPDATE records SET farm = farm + 1");
  CHECK(wall.failure());
}

TEST_CASE("a role or a setting that breaks a promise is refused, and a farm that is not there") {
  SKIP_WITHOUT_SERVER();
  auto& server = test::TemporaryPostgresql::get();
  const std::string address = test::new_database();
  const auto missing = open_postgresql_store({address, "nowhere", false});
  REQUIRE_FALSE(missing.ok());
  CHECK(missing.error().id == "store_missing");
  const auto mighty = open_postgresql_store({server.superuser_address(address), "north", true});
  REQUIRE_FALSE(mighty.ok());
  CHECK(mighty.error().what.find("row-level security") != std::string::npos);
  const std::string name = address.substr(address.rfind('/') + 1);
  server.execute_as_superuser(address,
                              "ALTER DATABASE " + name + " SET synchronous_commit = off");
  const auto careless = open_postgresql_store({address, "north", true});
  REQUIRE_FALSE(careless.ok());
  CHECK(careless.error().what.find("synchronous_commit") != std::string::npos);
}

TEST_CASE("a database that was set back under a running hub kept its epoch") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  Hub hub(address);
  hub.take(phone_a, 1, 2);
  hub.take(phone_a, 3, 4);
  const std::string epoch = hub.store->epoch();
  auto& server = test::TemporaryPostgresql::get();
  server.execute_as_superuser(address,
                              "BEGIN; DELETE FROM records WHERE arrival > 2; UPDATE farms SET "
                              "last_arrival = 2, change = 1; COMMIT");
  hub.begin();
  REQUIRE(hub.store->commit().ok());
  CHECK(hub.store->epoch() != epoch);
  CHECK(hub.side.records() == 2);
}

// How many rows of the records were read, by everybody since the database began.
std::int64_t rows_read(const std::string& address) {
  PgConnection database;
  REQUIRE(database.open(address).ok());
  return database
      .query("SELECT coalesce(sum(seq_tup_read + idx_tup_fetch), 0)::bigint "
             "FROM pg_stat_user_tables WHERE relname = 'records'")
      .integer(0, 0);
}

// Sessions tell the server's statistics once a second at most.
std::int64_t rows_read_at_last(const std::string& address, std::int64_t before) {
  std::int64_t last = before, now = before;
  for (int i = 0; i < 40 && (now == before || now != last); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(250));
    last = std::exchange(now, rows_read(address));
  }
  return now;
}

TEST_CASE("a plan kept from an empty table read the whole farm for each question") {
  SKIP_WITHOUT_SERVER();
  constexpr std::uint64_t records = 20000, asked = 50;
  const std::string address = test::new_database();
  const auto store = open_at(address);
  std::vector<ledger::RecordId> ids;
  for (std::uint64_t s = 1; s <= asked; ++s) ids.push_back({phone_a, s * 300});
  const auto ask = [&] {
    store->begin();
    const std::size_t found = store->bytes_of(ids).size();
    REQUIRE(store->commit().ok());
    return found;
  };
  // From the sixth time on PostgreSQL may keep one plan for all values.
  for (int i = 0; i < 10; ++i) CHECK(ask() == 0);
  store->begin();
  for (std::uint64_t s = 1; s <= records; ++s) {
    store->put(s, {phone_a, s}, "one of many", {}, {1, "tablet", 5});
  }
  REQUIRE(store->commit().ok());
  std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  const std::int64_t before = rows_read(address);
  CHECK(ask() == asked);
  std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  CHECK(ask() == asked);
  const std::int64_t read = rows_read_at_last(address, before) - before;
  INFO(read << " rows read for " << 2 * asked);
  CHECK(read >= static_cast<std::int64_t>(asked));  // or nothing was told
  CHECK(read <= static_cast<std::int64_t>(2 * asked));
}

TEST_CASE("a server killed and started again lost nothing acknowledged, and the hub went on") {
  SKIP_WITHOUT_SERVER();
  const std::string address = test::new_database();
  Writer writer(open_at(address), [] { return test::monday_ms; });
  REQUIRE(writer.start().ok());
  const auto import = [&](std::uint64_t sequence) {
    std::promise<base::Status> done;
    writer.run(
        [&](Store&, sync::HubSide& side) {
          (void)side.import({test::record_of(phone_a, sequence, 1, test::tag(1, 1, 1))}, 1);
        },
        [&](base::Status status) { done.set_value(std::move(status)); });
    return done.get_future().get();
  };
  for (std::uint64_t s = 1; s <= 20; ++s) REQUIRE(import(s).ok());
  test::TemporaryPostgresql::get().kill_and_start_again();
  const auto after = import(21);
  CHECK_MESSAGE(after.ok(), (after.ok() ? "" : after.error().text()));
  writer.stop();
  Hub fresh(address);
  CHECK(fresh.side.records() == 21);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
