// SPDX-License-Identifier: Apache-2.0
#include "sync/hub_side.h"

#include <algorithm>
#include <iterator>

#include "ledger/authority.h"

namespace nthtree::sync {
namespace {

void remove_id(Coverage& coverage, const ledger::RecordId& id) {
  const auto device = coverage.find(id.device);
  if (device == coverage.end()) return;
  device->second.remove(id.sequence);
  if (device->second.empty()) coverage.erase(device);
}

HubReply failure_reply(const base::Error& error) {
  return {error.id == "disk_full" ? 507 : 503, write_error(error)};
}

void read_lines(const PushRequest& push, HubRequest& request) {
  for (std::size_t i = 0; i < push.lines.size(); ++i) {
    const auto record = ledger::read_record(push.lines[i]);
    const auto id = record ? std::optional(record->id) : well_formed_id(push.lines[i]);
    request.unreadable.push_back(!record);
    request.facts.push_back(record ? facts_of(*record) : RecordFacts{});
    request.broken.push_back(!id                   ? record.error().text()
                             : *id == push.ids[i] ? ""
                             : "its id is not the one it was sent under (other_id)");
  }
}

// What a record says, wherever it stands.
std::string body_of(const ledger::RecordId& id, std::string_view bytes) {
  const auto original = original_of(id, bytes);
  return original ? original->bytes : std::string(bytes);
}

}  // namespace

RecordFacts facts_of(const ledger::Record& record) {
  return {record.body.index(), ledger::role_needed(record.body), record.author,
          record.replaces,     record.stamp,                     record.clock_ms};
}

base::Result<HubRequest> read_hub_request(std::string_view path, std::string body) {
  HubRequest request;
  request.text = std::make_unique<const std::string>(std::move(body));
  const auto envelope = read_envelope(*request.text);
  if (!envelope) return envelope.error();
  if (path == path_hello) {
    auto hello = read_hello_request(*envelope);
    if (!hello) return hello.error();
    request.message = std::move(*hello);
  } else if (path == path_pull) {
    auto pull = read_pull_request(*envelope);
    if (!pull) return pull.error();
    request.message = std::move(*pull);
  } else {
    auto push = read_push_request(*envelope);
    if (!push) return push.error();
    read_lines(*push, request);
    request.message = std::move(*push);
  }
  return request;
}

HubReply answer_pull(HubStore& store, const PullRequest& pull) {
  PullReply reply;
  const Cursor& asked = pull.cursor;
  const std::string epoch = store.epoch();
  const std::uint64_t last_arrival = store.last_arrival();
  const bool is_first = asked.epoch.empty() && asked.arrival == 0;
  // A hub that was set back without its own restore command betrays itself by giving the numbers
  // this phone has seen a second time, from another start.
  const bool is_ours = asked.epoch == epoch && asked.arrival <= last_arrival &&
                       asked.opening == store.opening_of(asked.arrival);
  reply.reset = !is_first && !is_ours;
  reply.cursor = is_ours ? asked : Cursor{epoch, 0, ""};
  reply.packed = pull.packed;
  const std::uint64_t most = pull.packed ? page_records_max : batch_records_max;
  const auto page = store.page(reply.cursor.arrival, std::min(pull.records_max, most),
                               batch_record_bytes_max);
  for (const Arrival& arrival : page) {
    if (arrival.bytes.empty()) {
      reply.gone.push_back(arrival.id);
      continue;
    }
    if (!arrival.standing.usual()) reply.standings[reply.lines.size()] = arrival.standing;
    reply.lines.push_back(arrival.bytes);
  }
  if (!page.empty()) {
    reply.cursor.arrival = page.back().arrival;
    reply.cursor.opening = store.opening_of(page.back().arrival);
    reply.more = page.back().arrival < last_arrival;
  }
  std::string body = write(reply);
  if (const auto failure = store.failure()) return failure_reply(*failure);
  return {200, std::move(body)};
}

base::Status HubSide::open() {
  for (Coverage* coverage : {&held_, &owned_, &removed_}) coverage->clear();
  odd_.clear();
  owners_.clear();
  latest_.clear();
  set_aside_.clear();
  ceded_.clear();
  first_ids_.clear();
  store_.begin_reading();
  epoch_ = store_.epoch();
  last_arrival_ = store_.last_arrival();
  store_.each_owner(
      [&](const ledger::DeviceKey& device, std::int64_t key) { owners_[device] = key; });
  Lasts lasts;
  store_.each_held([&](const HeldRecord& held) {
    hold(held.id, held.bytes, held.standing);
    note_last(lasts, held);
  });
  read_lasts(lasts);
  store_.each_removed(
      [&](const ledger::RecordId& id) { removed_[id.device].add(id.sequence); });
  store_.each_set_aside([&](const ledger::RecordId& id, std::int64_t sender) {
    set_aside_[sender][id.device].add(id.sequence);
  });
  if (const auto failure = store_.failure()) return *failure;
  return base::Ok{};
}

base::Status HubSide::catch_up() {
  const auto work = store_.work_of_others();
  if (work && work->is_too_much) return open();
  if (work) {
    last_arrival_ = store_.last_arrival();
    for (const auto& [device, key] : work->owners) owners_[device] = key;
    for (const ledger::RecordId& id : work->dropped) let_go(id);
    for (const ledger::RecordId& id : work->removed) {
      let_go(id);
      removed_[id.device].add(id.sequence);
    }
    std::vector<ledger::RecordId> firsts;  // a re-homed record is the first of its device
    for (const HeldRecord& held : work->held) {
      if (held.id.sequence == 1) firsts.push_back(held.id);
    }
    const auto bytes = store_.bytes_of(firsts);
    Lasts lasts;
    for (const HeldRecord& held : work->held) {
      const auto its = bytes.find(held.id);
      hold(held.id, its == bytes.end() ? std::string_view() : its->second, held.standing);
      note_last(lasts, held);
    }
    read_lasts(lasts);
    for (const auto& [id, sender] : work->set_aside) {
      set_aside_[sender][id.device].add(id.sequence);
    }
  }
  if (const auto failure = store_.failure()) return *failure;
  return base::Ok{};
}

void HubSide::note_last(Lasts& lasts, const HeldRecord& held) const {
  if (held.standing.rank != Rank::owned) return;
  const auto latest = latest_.find(held.id.device);
  if (latest != latest_.end() && latest->second.sequence > held.id.sequence) return;
  HeldRecord& last = lasts[held.id.device];
  if (last.id.sequence < held.id.sequence) last = {held.id, held.standing, 0, 0, {}};
}

void HubSide::read_lasts(const Lasts& lasts) {
  std::vector<ledger::RecordId> ids;
  for (const auto& [device, last] : lasts) ids.push_back(last.id);
  const auto bytes = store_.bytes_of(ids);
  for (const auto& [device, last] : lasts) {
    const auto found = bytes.find(last.id);
    if (found == bytes.end()) continue;
    const auto record = ledger::read_record(found->second);
    if (!record) continue;
    latest_[device] = {last.id.sequence,
                       last.standing.at_ms ? last.standing.at_ms : record->stamp.at_ms};
  }
}

HubReply HubSide::take(const HubRequest& request, const Sender& sender, std::int64_t wall_ms) {
  HubReply reply;
  if (const auto* hello = std::get_if<HelloRequest>(&request.message)) {
    reply.body = answer(*hello, sender, wall_ms);
  } else if (const auto* pull = std::get_if<PullRequest>(&request.message)) {
    return answer_pull(store_, *pull);
  } else {
    const auto& push = *std::get_if<PushRequest>(&request.message);
    reply.body = answer(push, request, {sender.key, sender.name, wall_ms}, sender);
  }
  if (const auto failure = store_.failure()) return failure_reply(*failure);
  return reply;
}

base::Result<std::uint64_t> HubSide::import(const std::vector<ledger::Record>& records,
                                            std::int64_t wall_ms) {
  const Sender people{0, "import", "", orchard::Role::manager};
  const std::uint64_t before = HubSide::records();
  for (const ledger::Record& record : records) {
    take_record(record.id, record.bytes, facts_of(record), people, Standing{},
                {0, people.name, wall_ms});
    if (const auto failure = store_.failure()) return *failure;
  }
  return HubSide::records() - before;
}

std::string HubSide::answer(const HelloRequest& hello, const Sender& sender,
                            std::int64_t wall_ms) {
  HelloReply reply;
  reply.role = sender.role;
  reply.not_owner = !claim(hello.device, hello.proofs, sender);
  reply.epoch = epoch_;
  reply.wall_ms = wall_ms;
  reply.missing = missing_from(hello.have, sender);
  reply.apart = kept_apart_from(hello.have, sender);
  reply.head = head(hello.device);
  reply.backed_up = std::min(store_.backed_up(hello.device), reply.head);
  return write(reply);
}

// Of its own devices a key is asked for what it has not brought itself; of others for what is not
// here at all.
Coverage HubSide::missing_from(const Coverage& have, const Sender& sender) const {
  Coverage missing;
  const auto less = [](SequenceSet set, const Coverage& here, const ledger::DeviceKey& device) {
    const auto found = here.find(device);
    return found == here.end() ? set : set.minus(found->second);
  };
  const auto apart = set_aside_.find(sender.key);
  for (const auto& [device, set] : have) {
    const bool own = owner_of(device) == sender.key;
    SequenceSet lacking = less(less(set, own ? owned_ : held_, device), removed_, device);
    if (apart != set_aside_.end()) lacking = less(lacking, apart->second, device);
    if (!lacking.empty()) missing.emplace(device, std::move(lacking));
  }
  return missing;
}

// Told again with each hello: an answer to a push may have been lost.
Coverage HubSide::kept_apart_from(const Coverage& have, const Sender& sender) const {
  Coverage kept;
  const auto apart = set_aside_.find(sender.key);
  if (apart == set_aside_.end()) return kept;
  for (const auto& [device, set] : minus(apart->second, held_)) {
    const auto named = have.find(device);
    if (named == have.end()) continue;
    SequenceSet common = set.common_with(named->second);
    if (!common.empty()) kept.emplace(device, std::move(common));
  }
  return kept;
}

std::string HubSide::answer(const PushRequest& push, const HubRequest& request,
                            const Provenance& from, const Sender& sender) {
  PushReply reply;
  expect_held(push);
  for (std::size_t i = 0; i < push.ids.size(); ++i) {
    const ledger::RecordId& id = push.ids[i];
    if (request.unreadable[i]) reply.set_aside.push_back(id);
    if (!request.broken[i].empty()) {
      if (!request.unreadable[i]) reply.set_aside.push_back(id);
      keep_apart(id, push.lines[i], request.broken[i], from);
      continue;
    }
    Standing told;
    if (const auto said = push.standings.find(i); said != push.standings.end()) told = said->second;
    told.rank = std::min(told.rank, rank_from(sender, id, push.lines[i]));
    const Admission admission =
        take_record(id, push.lines[i], request.facts[i], sender, told, from);
    if (admission.outcome == Admission::Outcome::conflict) reply.conflicts.push_back(id);
    if (admission.outcome == Admission::Outcome::no_place && !request.unreadable[i]) {
      reply.set_aside.push_back(id);
    }
    if (admission.wanted) reply.wanted.push_back(*admission.wanted);
  }
  reply.epoch = epoch_;
  reply.head = head(push.device);
  reply.backed_up = std::min(store_.backed_up(push.device), reply.head);
  return write(reply);
}

// What is sent again is compared with what stands here.
void HubSide::expect_held(const PushRequest& push) {
  std::vector<ledger::RecordId> held;
  std::copy_if(push.ids.begin(), push.ids.end(), std::back_inserter(held),
               [&](const ledger::RecordId& id) { return holds(id); });
  if (!held.empty()) store_.expect(held);
}

Admission HubSide::take_record(const ledger::RecordId& id, std::string_view bytes,
                               const RecordFacts& facts, const Sender& sender,
                               const Standing& told, const Provenance& from) {
  const Rank rank = told.rank;
  if (contains(removed_, id)) return {};
  if (!holds(id) && makes_a_hole_too_many(id)) {
    keep_apart(id, bytes, "too many holes before it (scattered)", from);
    Admission apart;
    apart.outcome = Admission::Outcome::no_place;
    return apart;
  }
  Admission admission = admit(*this, id, bytes, rank);
  if (admission.puts.empty() && admission.drops.empty() && admission.out.empty()) return admission;
  const Standing standing = judge(id, facts, sender, told, from.wall_ms);
  const std::string body = body_of(id, bytes);
  std::vector<Standing> standings;  // of what moves, before anything does
  for (const Put& put : admission.puts) {
    const std::string moved = body_of(put.record.id, put.record.bytes);
    Standing its = moved == body ? standing : standing_before(moved, id);
    its.rank = put.rank;
    standings.push_back(std::move(its));
  }
  for (const ledger::RecordId& dropped : admission.drops) {
    store_.drop(dropped);
    let_go(dropped);
  }
  for (std::size_t i = 0; i < admission.puts.size(); ++i) {
    put(admission.puts[i].record.id, admission.puts[i].record.bytes, standings[i], from);
  }
  if (rank == Rank::owned && facts.stamp.at_ms > 0) {
    Latest& latest = latest_[id.device];
    const std::int64_t at_ms = standing.at_ms ? standing.at_ms : facts.stamp.at_ms;
    if (id.sequence > latest.sequence) latest = {id.sequence, at_ms};
  }
  for (const RawRecord& out : admission.out) {
    keep_apart(out.id, out.bytes, "another record has its id (no_place)", from);
  }
  return admission;
}

// A record that another one moves stands as it stood.
Standing HubSide::standing_before(std::string_view body, const ledger::RecordId& id) const {
  const auto held = store_.bytes(id);
  if (held && body_of(id, *held) == body) return standing_of(id);
  return standing_of(rehomed_id(body));
}

void HubSide::put(const ledger::RecordId& id, std::string_view bytes, const Standing& standing,
                  const Provenance& from) {
  store_.put(++last_arrival_, id, bytes, standing, from);
  hold(id, bytes, standing);
}

void HubSide::keep_apart(const ledger::RecordId& id, std::string_view bytes,
                         std::string_view reason, const Provenance& from) {
  store_.set_aside(id, bytes, reason, from);
  set_aside_[from.sender][id.device].add(id.sequence);
}

void HubSide::hold(const ledger::RecordId& id, std::string_view bytes, const Standing& standing) {
  held_[id.device].add(id.sequence);
  if (standing.rank == Rank::owned) {
    owned_[id.device].add(id.sequence);
  } else {
    remove_id(owned_, id);
  }
  odd_.erase(id);
  if (!standing.aside.empty() || standing.at_ms != 0) odd_[id] = {standing.aside, standing.at_ms};
  if (id.sequence != 1) return;
  if (const auto original = original_of(id, bytes)) {
    const auto [left, is_new] = ceded_.emplace(original->id, standing.rank);
    left->second = std::max(left->second, standing.rank);
    first_ids_[id.device] = original->id;
  }
}

void HubSide::let_go(const ledger::RecordId& id) {
  remove_id(held_, id);
  remove_id(owned_, id);
  odd_.erase(id);
}

bool HubSide::remove(const ledger::RecordId& id) {
  if (!holds(id)) return false;
  store_.remove(++last_arrival_, id);
  let_go(id);
  removed_[id.device].add(id.sequence);
  return true;
}

std::optional<std::string> HubSide::bytes(const ledger::RecordId& id) const {
  return contains(held_, id) ? store_.bytes(id) : std::nullopt;
}

bool HubSide::holds(const ledger::RecordId& id) const { return contains(held_, id); }

Rank HubSide::rank(const ledger::RecordId& id) const {
  return contains(owned_, id) ? Rank::owned : Rank::hearsay;
}

Standing HubSide::standing_of(const ledger::RecordId& id) const {
  const auto odd = odd_.find(id);
  if (odd == odd_.end()) return {rank(id), "", 0};
  return {rank(id), odd->second.aside, odd->second.at_ms};
}

std::uint64_t HubSide::head(const ledger::DeviceKey& device) const {
  const auto owned = owned_.find(device);
  SequenceSet all = owned == owned_.end() ? SequenceSet() : owned->second;
  // What its owner sent and is no record, what was removed, and an id that its record has left,
  // are no gaps.
  const auto add = [&](const Coverage& coverage) {
    const auto found = coverage.find(device);
    if (found != coverage.end()) all.add(found->second);
  };
  if (const auto apart = set_aside_.find(owner_of(device)); apart != set_aside_.end()) {
    add(apart->second);
  }
  add(removed_);
  // Nor are numbers that somebody else claimed first, so that the owner went on behind them.
  const std::uint64_t highest = all.highest();
  if (const auto held = held_.find(device); held != held_.end()) {
    for (const SequenceSet::Range& range : held->second.ranges()) {
      if (range.first > highest) break;
      all.add(range.first, std::min(range.last, highest));
    }
  }
  for (auto id = ceded_.lower_bound({device, 1}); id != ceded_.end() && id->first.device == device;
       ++id) {
    if (id->second == Rank::owned) all.add(id->first.sequence);
  }
  return all.head();
}

}  // namespace nthtree::sync
