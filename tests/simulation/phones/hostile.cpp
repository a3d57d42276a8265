// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/hostile.h"

#include "simulation/phones/world.h"

namespace nthtree::simulation {
namespace {

constexpr std::int64_t years_ms = 10LL * 365 * 86400000;

ledger::TagCount tag(base::Random& random) {
  return {"b1", {1, 1 + static_cast<int>(random.below(4000))},
          static_cast<int>(random.below(300)), {}, {}, 30};
}

ledger::Body above_its_role(base::Random& random) {
  switch (random.below(4)) {
    case 0: return ledger::CheckCount{"b1", {1, 1}, 1, 1};
    case 1: return ledger::Advice{"b1", "p1", ledger::Direction::harder, 99};
    case 2: {
      ledger::FarmSettings farm;
      farm.name = "mine";
      return farm;
    }
    default: return ledger::PersonSettings{{"p1", "me", orchard::Role::manager, true}};
  }
}

}  // namespace

void Hostile::act() {
  if (!join()) return;
  look();
  using Act = void (Hostile::*)();
  static constexpr Act acts[] = {
      &Hostile::claim_the_next_id,    &Hostile::claim_a_held_id,
      &Hostile::send_garbage,         &Hostile::scatter_numbers,
      &Hostile::move_what_stands,     &Hostile::reach_above_its_role,
      &Hostile::claim_a_device,       &Hostile::withdraw_what_others_wrote,
      &Hostile::hand_over_forgeries};
  (this->*acts[world_.random.below(std::size(acts))])();
}

std::string Hostile::ask(std::string_view path, const std::string& body) {
  const auto reply = world_.hub.answer(std::string(path), body, hostile_phone, bearer_);
  return reply && reply->status == 200 ? reply->body : "";
}

bool Hostile::join() {
  if (!bearer_.empty()) return true;
  const std::string reply = ask(sync::path_join, "");
  if (reply.empty()) return false;
  bearer_ = sync::read_join_reply(*sync::read_envelope(reply))->bearer;
  key_ = world_.hub.keys().at(bearer_).key;
  const std::string proof = ledger::DeviceKey{world_.random.next(), world_.random.next()}.text();
  device_ = sync::device_of_proof(proof);
  ask(sync::path_hello, sync::write(sync::HelloRequest{device_, {}, {}, 0, {proof}}));
  return true;
}

void Hostile::look() {
  seen_.clear();
  sync::Cursor cursor;
  for (int pages = 0; pages < 50; ++pages) {
    const std::string reply = ask(sync::path_pull, sync::write(sync::PullRequest{cursor, 200}));
    if (reply.empty()) return;
    const auto envelope = sync::read_envelope(reply);
    const auto pulled = sync::read_pull_reply(*envelope);
    for (const std::string_view line : pulled->lines) {
      if (const auto id = sync::peek_id(line)) seen_.push_back({*id, std::string(line)});
    }
    cursor = pulled->cursor;
    if (!pulled->more) return;
  }
}

const Hostile::Seen* Hostile::any_seen() {
  return seen_.empty() ? nullptr : &seen_[world_.random.below(seen_.size())];
}

ledger::RecordId Hostile::next_id_of_somebody() {
  const Phone& victim = world_.phones[world_.random.below(world_.phones.size())];
  std::uint64_t last = 0;
  for (const Seen& seen : seen_) {
    if (seen.id.device == victim.device) last = std::max(last, seen.id.sequence);
  }
  return {victim.device, last + 1 + world_.random.below(3)};
}

sync::RawRecord Hostile::forge(const ledger::RecordId& id, ledger::Body body,
                               std::optional<ledger::RecordId> replaces, std::int64_t ahead_ms) {
  ledger::Record record;
  record.id = id;
  record.stamp.at_ms = record.clock_ms = morning_ms + world_.now_ms + ahead_ms;
  record.author = "p" + std::to_string(world_.random.below(4));
  record.replaces = replaces;
  record.body = std::move(body);
  auto written = ledger::write_record(std::move(record));
  NTHTREE_ASSERT(written.ok());
  world_.forged.insert(written->bytes);
  return {id, written->bytes};
}

// A record for a later version to read, and too long to be moved.
sync::RawRecord Hostile::forge_long(const ledger::RecordId& id) {
  std::string bytes = "{\"v\":1,\"id\":\"" + id.text() + "\",\"x\":\"";
  bytes += std::string(sync::kept_bytes_max - bytes.size() - 10, 'x') + "\"}";
  world_.forged.insert(bytes);
  return {id, bytes};
}

void Hostile::push(const ledger::DeviceKey& device,
                   const std::vector<sync::RawRecord>& raw_records) {
  sync::PushRequest push{device, {}, {}, {}};
  for (const sync::RawRecord& raw : raw_records) {
    push.ids.push_back(raw.id);
    push.lines.push_back(raw.bytes);
  }
  ask(sync::path_push, sync::write(push));
}

void Hostile::claim_the_next_id() {
  const ledger::RecordId id = next_id_of_somebody();
  push(world_.random.chance(0.5) ? device_ : id.device,
       {world_.random.chance(0.5) ? forge_long(id) : forge(id, tag(world_.random))});
}

void Hostile::claim_a_held_id() {
  if (const Seen* seen = any_seen()) push(seen->id.device, {forge(seen->id, tag(world_.random))});
}

void Hostile::send_garbage() {
  const ledger::RecordId id = next_id_of_somebody();
  std::vector<sync::RawRecord> garbage;
  for (std::uint64_t s = 0; s < 20; ++s) {
    garbage.push_back({{id.device, id.sequence + s}, "garbage " + std::to_string(s)});
  }
  push(id.device, garbage);
}

void Hostile::scatter_numbers() {
  ledger::RecordId id = next_id_of_somebody();
  if (world_.random.chance(0.5)) id.device = {world_.random.next(), world_.random.next()};
  std::vector<sync::RawRecord> raw_records;
  for (int i = 0; i < 20; ++i) {
    id.sequence += 2 + world_.random.below(1000000);
    raw_records.push_back(forge(id, tag(world_.random)));
  }
  push(device_, raw_records);
}

void Hostile::move_what_stands() {
  const Seen* seen = any_seen();
  if (!seen || sync::original_of(seen->id, seen->bytes)) return;
  if (const auto moved = sync::rehome(seen->bytes)) push(device_, {*moved});
}

void Hostile::reach_above_its_role() {
  const std::int64_t ahead_ms = world_.random.chance(0.5) ? years_ms : 0;
  push(device_, {forge({device_, ++sequence_}, above_its_role(world_.random), {}, ahead_ms),
                 forge({device_, ++sequence_}, tag(world_.random), {}, ahead_ms)});
}

void Hostile::withdraw_what_others_wrote() {
  const Seen* seen = any_seen();
  if (!seen || seen->id.device == device_) return;
  const bool own = world_.random.chance(0.5);
  const ledger::RecordId id =
      own ? ledger::RecordId{device_, ++sequence_}
          : ledger::RecordId{{world_.random.next(), world_.random.next()}, 1};
  push(device_, {forge(id, ledger::Withdrawal{"mine"}, seen->id)});
}

void Hostile::claim_a_device() {
  const ledger::DeviceKey device = next_id_of_somebody().device;
  ask(sync::path_hello, sync::write(sync::HelloRequest{device, {}, {}, 0, {"guess"}}));
}

void Hostile::hand_over_forgeries() {
  Phone& to = world_.phones[world_.random.below(world_.phones.size())];
  std::string lines = forge(next_id_of_somebody(), tag(world_.random)).bytes + "\n";
  if (const Seen* seen = any_seen()) lines += forge(seen->id, tag(world_.random)).bytes + "\n";
  to.import(lines);
}

}  // namespace nthtree::simulation
