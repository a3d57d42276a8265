// SPDX-License-Identifier: Apache-2.0
#include "hub/store_postgresql.h"

#include <algorithm>

#include "hub/log.h"
#include "hub/postgresql_store.h"
#include "hub/row_values.h"
#include "hub/schema_postgresql.h"
#include "hub/secret.h"

namespace nthtree::hub {

const char* const postgresql_support = "with PostgreSQL";

base::Status PostgresqlStore::open(const PostgresqlPlace& place) {
  name_ = place.farm;
  address_ = place.address;
  const auto say_farm = [this](PgConnection& database) {
    database.execute("SET lock_timeout = '5s'; SET statement_timeout = '60s'; "
                     "SET idle_in_transaction_session_timeout = '30s'");
    // Every statement goes by an index. A plan is kept once made, and one that was made while the
    // table was small would read all of it when it is not.
    database.execute("SET enable_seqscan = off; SET enable_bitmapscan = off; SET jit = off; "
                     "SET enable_hashjoin = off; SET enable_mergejoin = off");
    database.query("SELECT set_config('nthtree.farm_name', $1, false)", PgValues().add_text(name_));
    if (farm_.id == 0) return;
    database.query("SELECT set_config('nthtree.farm', $1::text, false)", of_farm());
  };
  if (const auto opened = database_.open(place.address, say_farm); !opened) return opened;
  if (const auto prepared = prepare_schema(database_); !prepared) return prepared;
  if (place.new_farm) {
    database_.query(
        "INSERT INTO farms (name, epoch) VALUES ($1, $2) ON CONFLICT (name) DO NOTHING",
        PgValues().add_text(name_).add_text(random_text()));
  }
  read_farm();
  database_.query("SELECT set_config('nthtree.farm', $1::text, false)", of_farm());
  if (database_.failure()) return *database_.failure();
  return base::Ok{};
}

void PostgresqlStore::read_farm() {
  const PgRows rows = database_.query(
      "SELECT id, epoch, last_arrival, change, dropped_change, aside_change, owners_change, "
      "office_version FROM farms WHERE name = $1", PgValues().add_text(name_));
  if (database_.failure()) return;
  if (rows.size() != 1) {
    return database_.fail({"store_missing",
                           "there is no farm " + name_ + ": say --new-farm to begin one",
                           "PostgreSQL"});
  }
  const auto number = [&](int column) { return rows.integer(0, column); };
  farm_ = {rows.text(0, 1), number(0), number(2), number(3), number(4), number(5), number(6),
           number(7)};
}

const Farm& PostgresqlStore::farm_now() {
  if (!in_transaction_) read_farm();
  return farm_;
}

void PostgresqlStore::begin_reading() {
  damaged_.clear();
  read_ = farm_now();
  openings_.reset();
}

void PostgresqlStore::begin() {
  if (!database_.be_connected()) return;
  database_.execute("BEGIN");
  database_.query("SELECT pg_advisory_xact_lock(5643092112000000 + $1)", of_farm());
  read_farm();
  in_transaction_ = true;
  notice_older_database();
}

void PostgresqlStore::begin_to_read() {
  if (!database_.be_connected()) return;
  database_.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
  read_farm();
  openings_.reset();
  in_transaction_ = true;
}

// The database came back from a backup under a running hub: phones have seen arrivals that it will
// give out a second time.
void PostgresqlStore::notice_older_database() {
  if (database_.failure()) return;
  if (farm_.change < highest_change_) {
    log(Level::error, "database_set_back", {{"farm", name_}});
    set_epoch(random_text());
    read_.reset();
  }
}

void PostgresqlStore::set_epoch(const std::string& epoch) {
  farm_.epoch = epoch;
  changed_ = true;
  database_.query("UPDATE farms SET epoch = $2 WHERE id = $1", of_farm().add_text(epoch));
}

base::Status PostgresqlStore::commit() {
  flush();
  note_uses();
  if (changed_) write_farm();
  database_.commit();
  if (database_.failure()) {
    const base::Error error = *database_.failure();
    rollback();
    return error;
  }
  if (read_) read_ = farm_;
  highest_change_ = farm_.change;
  rollback();
  return base::Ok{};
}

// Also where the engine does not honour the lock, nobody else has come between.
void PostgresqlStore::write_farm() {
  const std::int64_t next = farm_.change + 1;
  const auto now_or = [&](bool changed, std::int64_t before) { return changed ? next : before; };
  farm_.dropped = now_or(dropped_, farm_.dropped);
  farm_.aside = now_or(set_apart_, farm_.aside);
  farm_.owners = now_or(owners_changed_, farm_.owners);
  farm_.office += office_changed_;
  const PgRows done = database_.query(
      "UPDATE farms SET last_arrival = $3, change = $2 + 1, dropped_change = $4, "
      "aside_change = $5, owners_change = $6, office_version = $7 WHERE id = $1 AND change = $2",
      of_farm().add(farm_.change).add(farm_.last_arrival).add(farm_.dropped).add(farm_.aside)
          .add(farm_.owners).add(farm_.office));
  if (!database_.failure() && done.changed() != 1) {
    database_.fail({"store_busy", "another hub changed the farm meanwhile", "PostgreSQL"});
  }
  farm_.change = next;
}

// Also the end of a commit: nothing is left of the transaction.
void PostgresqlStore::rollback() {
  const bool has_failed = database_.failure() || database_.is_in_transaction();
  database_.clear_failure();
  if (database_.is_in_transaction()) database_.execute("ROLLBACK");
  database_.clear_failure();
  if (has_failed) read_.reset();
  in_transaction_ = changed_ = office_changed_ = dropped_ = owners_changed_ = set_apart_ = false;
  rows_.clear();
  apart_.clear();
  fetched_.clear();
  brought_.clear();
}

std::uint64_t PostgresqlStore::last_arrival() { return count(farm_now().last_arrival); }

std::string PostgresqlStore::opening_of(std::uint64_t arrival) {
  if (arrival == 0) return "";
  if (!openings_ || !in_transaction_) {
    openings_.emplace();
    const PgRows rows = database_.query(
        "SELECT first_arrival, opening FROM openings WHERE farm = $1", of_farm());
    for (int row = 0; row < rows.size(); ++row) {
      openings_->emplace(rows.integer(row, 0), rows.text(row, 1));
    }
  }
  const auto after = openings_->upper_bound(whole(arrival));
  return after == openings_->begin() ? "" : std::prev(after)->second;
}

void PostgresqlStore::note_opening() {
  const std::string opening = random_text();
  database_.query(
      "INSERT INTO openings VALUES ($1, $2, $3) ON CONFLICT (farm, first_arrival) DO UPDATE "
      "SET opening = excluded.opening",
      of_farm().add(whole(last_arrival()) + 1).add_text(opening));
  openings_.reset();
  changed_ = true;
}

void PostgresqlStore::note_health(std::int64_t now_ms) {
  database_.query("UPDATE farms SET health_ms = $2 WHERE id = $1", of_farm().add(now_ms));
}

void PostgresqlStore::flush() {
  if (!rows_.empty()) flush_records();
  if (!apart_.empty()) flush_apart();
}

void PostgresqlStore::flush_records() {
  std::vector<std::int64_t> arrivals, sequences, received, senders, ranks, at, sums;
  std::vector<std::string> devices;
  std::vector<std::string_view> bytes, carriers, asides;
  for (const auto& [id, row] : rows_) {
    devices.push_back(key_bytes(id.device));
    arrivals.push_back(whole(row.arrival));
    sequences.push_back(whole(id.sequence));
    bytes.push_back(row.bytes);
    carriers.push_back(row.from.carrier);
    received.push_back(row.from.wall_ms);
    senders.push_back(row.from.sender);
    ranks.push_back(row_rank(row.standing.rank));
    asides.push_back(row.standing.aside);
    at.push_back(row.standing.at_ms);
    sums.push_back(sum_of(devices.back(), sequences.back(), row.bytes));
  }
  database_.query(
      "INSERT INTO records (farm, arrival, device, sequence, bytes, carrier, received_ms, sender, "
      "rank, aside, at_ms, sum) SELECT $1, * FROM unnest($2::bigint[], $3::bytea[], $4::bigint[], "
      "$5::bytea[], $6::bytea[], $7::bigint[], $8::bigint[], $9::bigint[], $10::bytea[], "
      "$11::bigint[], $12::bigint[]) ON CONFLICT (farm, device, sequence) DO UPDATE SET "
      "arrival = excluded.arrival, bytes = excluded.bytes, carrier = excluded.carrier, "
      "received_ms = excluded.received_ms, sender = excluded.sender, rank = excluded.rank, "
      "aside = excluded.aside, at_ms = excluded.at_ms, sum = excluded.sum",
      of_farm().add_all(arrivals).add_all_bytes({devices.begin(), devices.end()})
          .add_all(sequences).add_all_bytes(bytes).add_all_bytes(carriers).add_all(received)
          .add_all(senders).add_all(ranks).add_all_bytes(asides).add_all(at).add_all(sums));
  rows_.clear();
}

void PostgresqlStore::set_aside(const ledger::RecordId& id, std::string_view bytes,
                                std::string_view reason, const sync::Provenance& from) {
  if (database_.failure()) return;
  apart_.push_back({id, std::string(bytes), std::string(reason), from});
  changed_ = set_apart_ = true;
}

void PostgresqlStore::flush_apart() {
  std::vector<std::int64_t> sequences, received, keys;
  std::vector<std::string> devices, digests;
  std::vector<std::string_view> bytes, reasons, carriers;
  for (const Apart& apart : apart_) {
    devices.push_back(key_bytes(apart.id.device));
    sequences.push_back(whole(apart.id.sequence));
    keys.push_back(apart.from.sender);
    digests.emplace_back(view(sync::sha256(apart.bytes)));
    bytes.push_back(apart.bytes);
    reasons.push_back(apart.reason);
    carriers.push_back(apart.from.carrier);
    received.push_back(apart.from.wall_ms);
  }
  database_.query(
      "INSERT INTO set_aside (farm, change, device, sequence, key, digest, bytes, reason, carrier, "
      "received_ms) SELECT $1, $2, * FROM unnest($3::bytea[], $4::bigint[], $5::bigint[], "
      "$6::bytea[], $7::bytea[], $8::bytea[], $9::bytea[], $10::bigint[]) ON CONFLICT DO NOTHING",
      of_farm().add(farm_.change + 1).add_all_bytes({devices.begin(), devices.end()})
          .add_all(sequences).add_all(keys).add_all_bytes({digests.begin(), digests.end()})
          .add_all_bytes(bytes).add_all_bytes(reasons).add_all_bytes(carriers).add_all(received));
  apart_.clear();
}

// One row a key and commit, so that a list of the keys needs no look at their records.
void PostgresqlStore::note_uses() {
  if (brought_.empty()) return;
  std::vector<std::int64_t> keys, records, bytes, last_ms, arrivals;
  for (const auto& [key, brought] : brought_) {
    keys.push_back(key);
    records.push_back(whole(brought.first.records));
    bytes.push_back(whole(brought.first.bytes));
    last_ms.push_back(brought.first.last_ms);
    arrivals.push_back(whole(brought.second));
  }
  database_.query(
      "INSERT INTO key_uses SELECT $1, * FROM unnest($2::bigint[], $3::bigint[], $4::bigint[], "
      "$5::bigint[], $6::bigint[]) ON CONFLICT (farm, key) DO UPDATE SET "
      "records = key_uses.records + excluded.records, bytes = key_uses.bytes + excluded.bytes, "
      "last_ms = excluded.last_ms, last_arrival = excluded.last_arrival",
      of_farm().add_all(keys).add_all(records).add_all(bytes).add_all(last_ms).add_all(arrivals));
}

void PostgresqlStore::drop(const ledger::RecordId& id) {
  rows_.erase(id);
  fetched_.erase(id);
  const std::string device = key_bytes(id.device);
  const auto its = [&] { return of_farm().add_bytes(device).add(whole(id.sequence)); };
  database_.query("DELETE FROM records WHERE farm = $1 AND device = $2 AND sequence = $3", its());
  database_.query(
      "INSERT INTO dropped (farm, device, sequence, change) VALUES ($1, $2, $3, $4) "
      "ON CONFLICT DO NOTHING", its().add(farm_.change + 1));
  changed_ = dropped_ = true;
}

void PostgresqlStore::remove(std::uint64_t arrival, const ledger::RecordId& id) {
  flush();
  fetched_.erase(id);
  const std::string device = key_bytes(id.device);
  database_.query(
      "UPDATE records SET arrival = $4, bytes = '', carrier = '', rank = 2, aside = '', sum = $5 "
      "WHERE farm = $1 AND device = $2 AND sequence = $3",
      of_farm().add_bytes(device).add(whole(id.sequence)).add(whole(arrival))
          .add(sum_of(device, whole(id.sequence), "")));
  farm_.last_arrival = std::max(farm_.last_arrival, whole(arrival));
  changed_ = true;
}

void PostgresqlStore::set_owner(const ledger::DeviceKey& device, std::int64_t key) {
  // A hello that is answered after a failure claims nothing.
  if (!in_transaction_) return database_.fail({"store_busy", "only in a transaction", ""});
  database_.query(
      "INSERT INTO owners VALUES ($1, $2, $3, $4) ON CONFLICT (farm, device) DO UPDATE SET "
      "key = excluded.key, change = excluded.change",
      of_farm().add_bytes(key_bytes(device)).add(key).add(farm_.change + 1));
  changed_ = owners_changed_ = true;
}

void PostgresqlStore::set_backed_up(
    const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads) {
  std::vector<std::string> devices;
  std::vector<std::int64_t> numbers;
  for (const auto& [device, head] : heads) {
    devices.push_back(key_bytes(device));
    numbers.push_back(whole(head));
  }
  database_.query("DELETE FROM backed_up WHERE farm = $1", of_farm());
  database_.query("INSERT INTO backed_up SELECT $1, * FROM unnest($2::bytea[], $3::bigint[])",
                  of_farm().add_all_bytes({devices.begin(), devices.end()}).add_all(numbers));
  office_changes();
}

base::Result<std::unique_ptr<Store>> PostgresqlStore::open_again() const {
  return open_postgresql_store({address_, name_, false});
}

base::Result<std::unique_ptr<Store>> open_postgresql_store(const PostgresqlPlace& place) {
  auto store = std::make_unique<PostgresqlStore>();
  if (const auto opened = store->open(place); !opened) return opened.error();
  return base::Result<std::unique_ptr<Store>>(std::move(store));
}

}  // namespace nthtree::hub
