// SPDX-License-Identifier: Apache-2.0
#include <iterator>

#include "hub/postgresql_store.h"
#include "hub/row_values.h"

namespace nthtree::hub {
namespace {

constexpr std::int64_t rows_at_once = 5000;      // of a list of everything
constexpr std::int64_t others_rows_max = 20000;  // more to catch up with is quicker read anew

}  // namespace

std::optional<sync::OthersWork> PostgresqlStore::work_of_others() {
  if (read_ && read_->epoch == farm_.epoch && read_->change == farm_.change) return std::nullopt;
  sync::OthersWork work;
  openings_.reset();
  work.is_too_much = !read_ || read_->epoch != farm_.epoch ||
                     farm_.last_arrival - read_->last_arrival > others_rows_max;
  if (work.is_too_much) return work;
  const auto since = [&](std::int64_t number) { return of_farm().add(number); };
  const auto id_in = [](const PgRows& rows, int row) {
    return ledger::RecordId{key_of(rows.bytes(row, 0)), count(rows.integer(row, 1))};
  };
  if (farm_.dropped > read_->change) {
    const PgRows rows = database_.query(
        "SELECT device, sequence FROM dropped WHERE farm = $1 AND change > $2",
        since(read_->change));
    for (int row = 0; row < rows.size(); ++row) work.dropped.push_back(id_in(rows, row));
  }
  if (farm_.last_arrival > read_->last_arrival) {
    const PgRows rows = database_.query(
        "SELECT device, sequence, rank, aside, at_ms, sender, received_ms FROM records "
        "WHERE farm = $1 AND arrival > $2 ORDER BY arrival", since(read_->last_arrival));
    for (int row = 0; row < rows.size(); ++row) {
      if (rows.integer(row, 2) == row_removed) {
        work.removed.push_back(id_in(rows, row));
        continue;
      }
      work.held.push_back({id_in(rows, row),
                           {rank_of_row(rows.integer(row, 2)), rows.text(row, 3),
                            rows.integer(row, 4)},
                           rows.integer(row, 5), rows.integer(row, 6), {}});
    }
  }
  if (farm_.aside > read_->change) {
    const PgRows rows = database_.query(
        "SELECT device, sequence, key FROM set_aside WHERE farm = $1 AND change > $2",
        since(read_->change));
    for (int row = 0; row < rows.size(); ++row) {
      work.set_aside.emplace_back(id_in(rows, row), rows.integer(row, 2));
    }
  }
  if (farm_.owners > read_->change) {
    const PgRows rows = database_.query(
        "SELECT device, key FROM owners WHERE farm = $1 AND change > $2", since(read_->change));
    for (int row = 0; row < rows.size(); ++row) {
      work.owners.emplace_back(key_of(rows.bytes(row, 0)), rows.integer(row, 1));
    }
  }
  read_ = farm_;
  return work;
}

std::int64_t PostgresqlStore::office_version() { return farm_now().office; }

void PostgresqlStore::put(std::uint64_t arrival, const ledger::RecordId& id,
                          std::string_view bytes, const sync::Standing& standing,
                          const sync::Provenance& from) {
  if (database_.failure()) return;
  rows_[id] = {arrival, std::string(bytes), standing, from};
  fetched_.erase(id);
  farm_.last_arrival = std::max(farm_.last_arrival, whole(arrival));
  auto& [use, last] = brought_[from.sender];
  use = {use.records + 1, use.bytes + bytes.size(), from.wall_ms};
  last = arrival;
  changed_ = true;
}

std::uint64_t PostgresqlStore::backed_up(const ledger::DeviceKey& device) {
  const PgRows rows = database_.query(
      "SELECT head FROM backed_up WHERE farm = $1 AND device = $2",
      of_farm().add_bytes(key_bytes(device)));
  return rows.size() == 1 ? count(rows.integer(0, 0)) : 0;
}

std::optional<std::string> PostgresqlStore::bytes(const ledger::RecordId& id) {
  if (const auto row = rows_.find(id); row != rows_.end()) return row->second.bytes;
  if (const auto known = fetched_.find(id); known != fetched_.end()) return known->second;
  auto found = bytes_of({id});
  if (found.empty()) return std::nullopt;
  return std::move(found.begin()->second);
}

std::map<ledger::RecordId, std::string> PostgresqlStore::bytes_of(
    const std::vector<ledger::RecordId>& ids) {
  std::map<ledger::RecordId, std::string> all;
  std::vector<std::string> devices;
  std::vector<std::int64_t> sequences;
  for (const ledger::RecordId& id : ids) {
    if (const auto row = rows_.find(id); row != rows_.end()) {
      all.emplace(id, row->second.bytes);
      continue;
    }
    devices.push_back(key_bytes(id.device));
    sequences.push_back(whole(id.sequence));
  }
  if (devices.empty()) return all;
  const PgRows rows = database_.query(
      // OFFSET 0 keeps the inner part whole: a plan of before there were any rows turned it round,
      // and compared each record of the farm with each that was wanted.
      "SELECT found.* FROM unnest($2::bytea[], $3::bigint[]) AS wanted (its, number) CROSS JOIN "
      "LATERAL (SELECT device, sequence, bytes, sum FROM records WHERE farm = $1 AND device = its "
      "AND sequence = number AND rank < 2 OFFSET 0) AS found",
      of_farm().add_all_bytes({devices.begin(), devices.end()}).add_all(sequences));
  for (int row = 0; row < rows.size(); ++row) {
    const std::string_view device = rows.bytes(row, 0);
    if (!is_whole(device, rows.integer(row, 1), rows.bytes(row, 2), rows.integer(row, 3))) continue;
    all.emplace(ledger::RecordId{key_of(device), count(rows.integer(row, 1))}, rows.text(row, 2));
  }
  return all;
}

std::vector<sync::Arrival> PostgresqlStore::page(std::uint64_t after, std::uint64_t records_max,
                                                 std::size_t bytes_max) {
  flush();
  const PgRows rows = database_.query(
      "SELECT arrival, device, sequence, bytes, rank, aside, at_ms, sum FROM records "
      "WHERE farm = $1 AND arrival > $2 ORDER BY arrival LIMIT $3",
      of_farm().add(whole(after)).add(whole(records_max)));
  std::vector<sync::Arrival> page;
  std::size_t bytes = 0;
  for (int row = 0; row < rows.size(); ++row) {
    const std::string_view device = rows.bytes(row, 1), its = rows.bytes(row, 3);
    bytes += its.size() + 1;
    if (bytes > bytes_max && !page.empty()) break;
    if (!is_whole(device, rows.integer(row, 2), its, rows.integer(row, 7))) continue;
    page.push_back({count(rows.integer(row, 0)), {key_of(device), count(rows.integer(row, 2))},
                    std::string(its),
                    {rank_of_row(rows.integer(row, 4)), rows.text(row, 5), rows.integer(row, 6)}});
  }
  return page;
}

void PostgresqlStore::each_held(const std::function<void(const sync::HeldRecord&)>& visit) {
  flush();
  damaged_.clear();
  for (std::int64_t after = 0;;) {
    const PgRows rows = database_.query(
        "SELECT device, sequence, rank, aside, at_ms, sender, received_ms, bytes, sum, arrival "
        "FROM records WHERE farm = $1 AND arrival > $2 ORDER BY arrival LIMIT $3",
        of_farm().add(after).add(rows_at_once));
    if (rows.size() == 0) return;
    visit_rows(rows, visit);
    after = rows.integer(rows.size() - 1, 9);
  }
}

void PostgresqlStore::visit_rows(const PgRows& rows,
                                 const std::function<void(const sync::HeldRecord&)>& visit) {
  for (int row = 0; row < rows.size(); ++row) {
    if (rows.integer(row, 2) == row_removed) continue;
    const std::string_view device = rows.bytes(row, 0), bytes = rows.bytes(row, 7);
    const ledger::RecordId id{key_of(device), count(rows.integer(row, 1))};
    if (!is_whole(device, rows.integer(row, 1), bytes, rows.integer(row, 8))) {
      damaged_.push_back(id);
      continue;
    }
    visit({id,
           {rank_of_row(rows.integer(row, 2)), rows.text(row, 3), rows.integer(row, 4)},
           rows.integer(row, 5), rows.integer(row, 6), bytes});
  }
}

void PostgresqlStore::each_removed(const std::function<void(const ledger::RecordId&)>& visit) {
  flush();
  const PgRows rows = database_.query(
      "SELECT device, sequence FROM records WHERE farm = $1 AND rank = 2", of_farm());
  for (int row = 0; row < rows.size(); ++row) {
    visit({key_of(rows.bytes(row, 0)), count(rows.integer(row, 1))});
  }
}

void PostgresqlStore::each_set_aside(
    const std::function<void(const ledger::RecordId&, std::int64_t)>& visit) {
  flush();
  const PgRows rows = database_.query(
      "SELECT device, sequence, key FROM set_aside WHERE farm = $1", of_farm());
  for (int row = 0; row < rows.size(); ++row) {
    visit({key_of(rows.bytes(row, 0)), count(rows.integer(row, 1))}, rows.integer(row, 2));
  }
}

void PostgresqlStore::each_owner(
    const std::function<void(const ledger::DeviceKey&, std::int64_t)>& visit) {
  const PgRows rows = database_.query("SELECT device, key FROM owners WHERE farm = $1", of_farm());
  for (int row = 0; row < rows.size(); ++row) {
    visit(key_of(rows.bytes(row, 0)), rows.integer(row, 1));
  }
}

std::vector<SetAside> PostgresqlStore::set_aside_list() {
  flush();
  std::vector<SetAside> all;
  const PgRows rows = database_.query(
      "SELECT device, sequence, bytes, reason, carrier FROM set_aside WHERE farm = $1 ORDER BY id",
      of_farm());
  for (int row = 0; row < rows.size(); ++row) {
    all.push_back({{key_of(rows.bytes(row, 0)), count(rows.integer(row, 1))}, rows.text(row, 2),
                   rows.text(row, 3), rows.text(row, 4)});
  }
  return all;
}

}  // namespace nthtree::hub
