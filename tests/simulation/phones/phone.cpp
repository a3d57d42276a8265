// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/phone.h"

#include <algorithm>

#include "simulation/phones/world.h"

namespace nthtree::simulation {

Phone::Phone(World& w, int n, std::int64_t skew) : world(w), number(n), skew_ms(skew) {}

sync::Moment Phone::moment() {
  return {morning_ms + world.now_ms + skew_ms, world.now_ms - started_ms_, world.random.next()};
}

void Phone::start() {
  if (client) return;
  ++incarnation;
  started_ms_ = world.now_ms;
  wake_at_ms_ = -1;
  client = std::make_unique<sync::Client>();
  season = {};
  client->load_state(disk.state);
  for (const auto& [id, bytes] : disk.records) {
    auto record = client->load_record(bytes);
    if (record && client->counts(*record)) season.apply(*record);
  }
  client->start({world.random.next(), world.random.next()}, moment());
  join();
}

// People type a code until it works.
void Phone::join() {
  if (!client->status().joined) {
    client->join("ABCDE-FGHJK", "phone " + std::to_string(number), moment());
  }
  drive();
}

void Phone::crash() {
  if (!client) return;
  client.reset();
  ++incarnation;
  for (const Transaction& transaction : under_way_) {
    if (!disk_full && world.random.chance(0.5)) write_to_disk(transaction, true);
  }
  under_way_.clear();
}

void Phone::take_over(const Disk& other) {
  disk = other;
  written.clear();
}

void Phone::import(const std::string& lines) {
  if (!client) return;
  client->import(lines, moment());
  drive();
}

void Phone::answer(int incarnation_then, std::int32_t request, int status,
                   const std::string& body) {
  if (incarnation_then != incarnation || !client) return;
  client->response(request, status, body, moment());
  drive();
}

ledger::Body Phone::next_body(std::optional<ledger::RecordId>& replaces) {
  base::Random& random = world.random;
  const int tree = ++world.trees;
  const orchard::TreeAddress address{1 + tree / 4000, 1 + tree % 4000};
  const int spurs = static_cast<int>(random.below(300));
  const bool is_pruner = role_of(number) == orchard::Role::pruner;
  if (random.chance(world.settings.corrections) && !disk.records.empty()) {
    auto at = disk.records.begin();
    std::advance(at, random.below(disk.records.size()));
    if (!is_pruner || at->first.device == device) {
      replaces = at->first;
      if (random.chance(0.3)) return ledger::Withdrawal{"slip " + std::to_string(tree)};
    }
  }
  if (!is_pruner && random.chance(0.2)) return ledger::CheckCount{"b1", address, spurs, 60};
  return ledger::TagCount{"b" + std::to_string(1 + random.below(2)), address, spurs, {}, {}, 30};
}

void Phone::count() {
  if (!client) return;
  std::optional<ledger::RecordId> replaces;
  ledger::Body body = next_body(replaces);
  auto record = client->write(std::move(body), "p" + std::to_string(number), replaces,
                              moment().wall_ms);
  NTHTREE_ASSERT(record.ok());
  world.say("phone %d writes %s", number, record->id.text().c_str());
  world.made.insert(record->bytes);
  Transaction transaction;
  transaction.puts.push_back({record->id, record->bytes});
  transaction.local = std::make_unique<ledger::Record>(*record);
  begin(std::move(transaction));
  if (world.settings.fault == Fault::saved_before_disk) {
    saved(*record);
    client->local_stored(record->id, moment());
  }
  drive();
}

// A later app, or one with a fault, has been on this phone for a while.
void Phone::write_as_other_version(bool readable) {
  if (client || disk.state.empty()) return;
  std::uint64_t sequence = 1;
  for (const auto& [id, bytes] : disk.records) {
    if (id.device == device) sequence = std::max(sequence, id.sequence + 1);
  }
  const ledger::RecordId id{device, sequence};
  const std::string number_text = std::to_string(++world.trees);
  std::string bytes = "{\"v\":1,\"id\":\"" + id.text() + "\",\"at_ms\":" +
                      std::to_string(morning_ms + world.now_ms) +
                      ",\"tick\":0,\"clock_ms\":1,\"author\":\"p\",\"kind\":\"";
  bytes += readable ? "leaf_photo\",\"body\":{\"n\":" + number_text + "}}"
                    : "tag_count\",\"body\":{\"block\":\"b1\",\"spurs\":-" + number_text + "}}";
  disk.records[id] = bytes;
  world.say("phone %d holds %s of another version", number, id.text().c_str());
  world.made.insert(bytes);
  world.saved.insert(bytes);
}

void Phone::begin(Transaction transaction) {
  transaction.number = ++transactions_;
  const std::int64_t number_then = transaction.number;
  under_way_.push_back(std::move(transaction));
  world.at(1 + static_cast<std::int64_t>(
                   world.random.below(static_cast<std::uint64_t>(world.settings.disk_ms_max))),
           [this, then = incarnation, number_then] { finish(then, number_then); });
}

void Phone::finish(int incarnation_then, std::int64_t transaction_number) {
  if (incarnation_then != incarnation) return;
  const auto at =
      std::find_if(under_way_.begin(), under_way_.end(),
                   [&](const Transaction& t) { return t.number == transaction_number; });
  if (at == under_way_.end()) return;
  Transaction transaction = std::move(*at);
  under_way_.erase(at);
  if (disk_full) {
    if (transaction.local) {
      begin(std::move(transaction));  // the app keeps the record and tries again
    } else {
      client->store_done(transaction.store, false, moment());
    }
    return drive();
  }
  write_to_disk(transaction, false);
  if (transaction.local) {
    saved(*transaction.local);
    client->local_stored(transaction.local->id, moment());
  } else {
    client->store_done(transaction.store, true, moment());
  }
  drive();
}

void Phone::write_to_disk(const Transaction& transaction, bool torn) {
  const bool only_state = torn && world.settings.fault == Fault::store_not_atomic;
  for (const sync::RawRecord& raw : transaction.puts) {
    if (only_state && !transaction.local) break;
    if (world.settings.fault == Fault::unknown_dropped) {
      const auto record = ledger::read_record(raw.bytes);
      if (record && record->body.index() == 0 && !transaction.local) continue;
    }
    disk.records[raw.id] = raw.bytes;
  }
  if (world.settings.fault != Fault::drops_ignored) {
    for (const ledger::RecordId& id : transaction.drops) disk.records.erase(id);
  }
  if (!transaction.state.empty()) disk.state = transaction.state;
}

void Phone::saved(const ledger::Record& record) {
  world.saved.insert(record.bytes);
  written.push_back(record);
  season.apply(record);
}

void Phone::drive() {
  if (!client) return;
  for (auto actions = client->take_actions(); !actions.empty(); actions = client->take_actions()) {
    for (sync::Action& action : actions) carry_out(action);
  }
  device = client->device();
  if (world.settings.fault == Fault::retry_by_event_only && client->status().hub_behind) return;
  const std::int64_t wake = client->next_wake_ms();
  if (wake < 0) return;
  const std::int64_t at_ms = std::max(world.now_ms + 1, wake + started_ms_);
  if (wake_at_ms_ >= 0 && wake_at_ms_ <= at_ms && wake_at_ms_ > world.now_ms) return;
  wake_at_ms_ = at_ms;
  world.at(at_ms - world.now_ms, [this, then = incarnation, at_ms] {
    if (then != incarnation || !client || wake_at_ms_ != at_ms) return;
    wake_at_ms_ = -1;
    client->tick(moment());
    drive();
  });
}

void Phone::carry_out(sync::Action& action) {
  if (auto* send = std::get_if<sync::Send>(&action)) {
    world.send(*this, std::move(*send));
  } else if (auto* store = std::get_if<sync::StoreChange>(&action)) {
    Transaction transaction;
    transaction.puts = std::move(store->puts);
    transaction.drops = std::move(store->drops);
    transaction.state = std::move(store->state);
    transaction.store = store->store;
    begin(std::move(transaction));
  } else if (auto* apply = std::get_if<sync::Apply>(&action)) {
    for (const ledger::Record& record : apply->records) season.apply(record);
    if (!apply->rebuild || world.settings.fault == Fault::rebuild_ignored) return;
    season = {};
    client->each_counted([&](const ledger::Record& record) { season.apply(record); });
  } else if (std::get_if<sync::WantDeviceKey>(&action)) {
    if (world.settings.fault == Fault::key_kept) return;
    world.at(5, [this, then = incarnation] {
      if (then != incarnation || !client) return;
      client->use_device_key({world.random.next(), world.random.next()}, moment());
      drive();
    });
  } else if (auto* notice = std::get_if<sync::Notice>(&action)) {
    told_cloned += notice->kind == sync::Notice::Kind::cloned;
    if (notice->kind != sync::Notice::Kind::join_failed) return;
    world.at(10000, [this, then = incarnation] {
      if (then == incarnation && client) join();
    });
  }
}

}  // namespace nthtree::simulation
