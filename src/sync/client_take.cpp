// SPDX-License-Identifier: Apache-2.0
//
// The fetching lane of the client, and everything that brings records of others: merge a batch,
// store it with its cursor in one transaction, then let the season see it.
#include <algorithm>

#include "base/text.h"
#include "ledger/authority.h"
#include "sync/client.h"

namespace nthtree::sync {
namespace {

// An imported file may hold a whole season; one transaction takes this many records of it.
constexpr std::size_t import_records_max = 1000;

std::string_view take_record(std::string_view& text) {
  std::string_view line = base::take_line(text);
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);  // files pass through Windows
  return line;
}

void remove(Coverage& from, const Coverage& what) { from = minus(from, what); }

}  // namespace

void Client::run_fetch_lane(const Moment& now) {
  // One page at a time: the next is asked for when this one is on the disk.
  if (fetch_lane_.request != 0 || storing_ || !incoming_.empty()) return;
  if (now.elapsed_ms < fetch_lane_.due_ms) return;
  request(Lane::fetch, path_pull, sync::write(PullRequest{cursor_, page_records_max, true}), {},
          now);
}

void Client::take_pull(const Envelope& envelope, const Moment& now) {
  const auto reply = read_pull_reply(envelope);
  if (!reply) return failed(fetch_lane_, now);
  succeeded(fetch_lane_, now.elapsed_ms + settings_.pull_every_ms, now);
  if (reply->reset) {
    needs_hello_ = true;  // it was set back: it may lack records of ours
    begin_anew_with_hub();
  }
  fetched_all_ = !reply->more;
  if (reply->lines.empty() && reply->gone.empty() && reply->cursor == cursor_) return;
  Incoming incoming;
  incoming.cursor = reply->cursor;
  incoming.more = reply->more;
  incoming.standings = reply->standings;
  incoming.gone = reply->gone;
  for (const std::string_view line : reply->lines) (incoming.body += line) += '\n';
  incoming_.push_back(std::move(incoming));
}

void Client::import(std::string lines, const Moment& now) {
  std::string_view rest = lines;
  while (!rest.empty()) {
    Incoming incoming;
    for (std::size_t i = 0; i < import_records_max && !rest.empty(); ++i) {
      const std::string_view line = take_record(rest);
      if (!line.empty()) (incoming.body += line) += '\n';
    }
    incoming.last = rest.empty();
    incoming_.push_back(std::move(incoming));
  }
  tick(now);
}

void Client::store_state(const Moment& now) {
  Incoming incoming;
  incoming.state_only = true;
  incoming_.push_back(std::move(incoming));
  merge_next(now);
}

void Client::want_key() {
  if (wants_key_) return;
  wants_key_ = true;
  actions_.emplace_back(WantDeviceKey{});
}

void Client::use_device_key(const ledger::DeviceKey& key, const Moment& now) {
  if (!wants_key_) return;
  wants_key_ = false;
  if (std::exchange(device_taken_, false)) leave_device();
  add_proof(key.text());
  device_ = proven_.back();
  needs_hello_ = true;
  own_head_ = own_backed_up_ = 0;
  tell(Notice::Kind::cloned);
  store_state(now);
  tick(now);
}

// A record that is on its way to the disk must not meet another with its id there.
bool Client::waits_for_local(const Incoming& incoming) const {
  if (writing_.empty()) return false;
  std::string_view rest = incoming.body;
  while (!rest.empty()) {
    const auto id = peek_id(take_record(rest));
    if (id && writing_.count(*id)) return true;
  }
  return false;
}

bool Client::is_own(const ledger::DeviceKey& device) const {
  return device == device_ ||
         std::find(proven_.begin(), proven_.end(), device) != proven_.end();
}

void Client::add_proof(std::string proof) {
  proven_.push_back(device_of_proof(proof));
  proofs_.push_back(std::move(proof));
}

// Another key owns it. What stands under it is for that one to say; the hub tells all of it again.
void Client::leave_device() {
  const auto at = std::find(proven_.begin(), proven_.end(), device_);
  if (at != proven_.end()) {
    proofs_.erase(proofs_.begin() + (at - proven_.begin()));
    proven_.erase(at);
  }
  store_.demote({{device_, store_.held_of(device_)}});
  cursor_ = {};
  std::erase_if(pending_, [](const auto& entry) { return entry.second.lane == Lane::fetch; });
  std::erase_if(incoming_, [](const Incoming& incoming) { return incoming.cursor.has_value(); });
  if (storing_ && storing_->incoming.cursor) storing_->incoming.cursor = Cursor{};
  fetch_lane_ = {};
}

// The hub tells everything from the beginning, and with it how each record stands there.
void Client::begin_anew_with_hub() {
  Coverage others = store_.coverage();
  std::erase_if(others, [&](const auto& entry) { return is_own(entry.first); });
  store_.demote(others);
  vouched_less_.clear();
}

// How a record stands that came by hand, as far as this phone can tell.
Standing Client::judge(const base::Result<ledger::Record>& record, const Moment& now) const {
  Standing standing{Rank::hearsay, "", 0};
  if (!record) return standing;
  const std::int64_t most = now.wall_ms + ledger::ClockOfDevice::ahead_ms_max;
  if (record->stamp.at_ms > most) {
    standing.at_ms = record->clock_ms <= most && record->clock_ms > 0 ? record->clock_ms
                                                                     : now.wall_ms;
  }
  if (!role_of_ || record->author.empty()) return standing;
  const auto role = role_of_(record->author);
  if (role && *role < ledger::role_needed_of_author(record->body)) standing.aside = aside_role;
  return standing;
}

Standing Client::standing_in(const Storing& storing, const ledger::RecordId& id) const {
  const auto changed = storing.odd.find(id);
  if (changed != storing.odd.end()) return changed->second;
  const auto odd = odd_.find(id);
  return odd == odd_.end() ? Standing{} : odd->second;
}

// A standing goes with its record, wherever merging puts it.
void Client::note_standing(Storing& storing, const RawRecord& arrived, const Admission& admission,
                           const Standing& standing) {
  const auto set = [&](const ledger::RecordId& id, Standing its) {
    its.rank = Rank::owned;  // the store has the rank
    const Standing before = standing_in(storing, id);
    if (before.aside == its.aside && before.at_ms == its.at_ms) return;
    if (!its.aside.empty()) storing.outside_role += before.aside.empty();
    storing.odd[id] = std::move(its);
    storing.rebuild |= store_.holds(id);
  };
  const auto moved_from = original_of(arrived.id, arrived.bytes);
  const std::string& body = moved_from ? moved_from->bytes : arrived.bytes;
  const ledger::RecordId slot = moved_from ? moved_from->id : arrived.id;
  const Standing slots = standing_in(storing, slot);
  const auto is_arrived = [&](const ledger::RecordId& id, const std::string& bytes) {
    const auto original = original_of(id, bytes);
    return (original ? original->bytes : bytes) == body;
  };
  for (const Put& put : admission.puts) {
    set(put.record.id, is_arrived(put.record.id, put.record.bytes) ? standing : slots);
  }
  for (const ledger::RecordId& dropped : admission.drops) storing.odd[dropped] = {};
  if (!admission.puts.empty() || !storing.incoming.cursor) return;
  // Held already: the hub has changed its word.
  for (const ledger::RecordId& id : {slot, rehomed_id(body)}) {
    const auto held = storing.overlay.bytes(id);
    if (!held || !is_arrived(id, *held)) continue;
    if (standing.rank < storing.overlay.rank(id) && !is_own(slot.device)) {
      storing.overlay.set_rank(id, standing.rank);
    }
    set(id, standing);
    return;
  }
}

void Client::merge_line(Storing& storing, std::string_view line, std::size_t number,
                        const Moment& now) {
  auto record = ledger::read_record(line);
  // What only a later version can read is kept and passed on all the same.
  const auto id = record ? std::optional(record->id) : well_formed_id(line);
  if (!id) {
    ++storing.tally.damaged;
    return;
  }
  const bool from_hub = storing.incoming.cursor.has_value();
  const auto told = storing.incoming.standings.find(number);
  const Standing standing = !from_hub ? judge(record, now)
                            : told == storing.incoming.standings.end() ? Standing{}
                                                                       : told->second;
  // Somebody else writes under this phone's key, or the phone was set back to an older day.
  const bool is_vouched = standing.rank == Rank::owned || !from_hub;
  const bool own_unknown = is_vouched && id->device == device_ &&
                           id->sequence > store_.highest_used(device_) && !store_.holds(*id);
  // What the hub has under an id was not beaten there: what this phone took for its owner's is not.
  if (from_hub && !is_own(id->device) && storing.overlay.rank(*id) == Rank::owned &&
      storing.overlay.holds(*id) && storing.overlay.bytes(*id) != line) {
    storing.overlay.set_rank(*id, Rank::hearsay);
  }
  const Admission admission = storing.overlay.take(*id, line, standing.rank);
  using Outcome = Admission::Outcome;
  const bool held =
      admission.outcome == Outcome::already_held || admission.outcome == Outcome::confirmed;
  ++(held ? storing.tally.known : record ? storing.tally.fresh : storing.tally.set_aside);
  const bool conflict = admission.outcome == Outcome::conflict;
  if (own_unknown || (conflict && is_vouched && id->device == device_)) want_key();
  if (!admission.drops.empty() || conflict) storing.rebuild = true;
  note_standing(storing, {*id, std::string(line)}, admission, standing);

  const bool holds_it = storing.overlay.bytes(*id) == line;
  const bool is_confirmed = standing.rank == Rank::owned || !is_own(id->device);
  if (from_hub && holds_it && is_confirmed) {
    storing.at_hub[id->device].add(id->sequence);
  } else if (!holds_it && storing.overlay.bytes(*id)) {
    storing.to_send[id->device].add(id->sequence);  // ours keeps the id; who sent this should know
    if (from_hub) storing.contested[id->device].add(id->sequence);
  }
  for (const Put& put : admission.puts) {
    const RawRecord& raw = put.record;
    const auto before = store_.bytes(raw.id);
    const bool takes_another_place = before && *before != raw.bytes;
    if (takes_another_place) storing.rebuild = true;
    if (takes_another_place && !from_hub) storing.contested[raw.id.device].add(raw.id.sequence);
    if (admission.outcome == Outcome::confirmed && from_hub) continue;
    if (raw.id != *id || !from_hub) {
      storing.to_send[raw.id.device].add(raw.id.sequence);
    }
    if (admission.outcome == Outcome::confirmed) continue;
    if (auto read = raw.id == *id ? std::move(record) : ledger::read_record(raw.bytes)) {
      storing.records.push_back(std::move(*read));
    }
  }
}

void Client::merge_next(const Moment& now) {
  if (storing_ || incoming_.empty() || waits_for_local(incoming_.front())) return;
  if (now.elapsed_ms < disk_lane_.due_ms) return;
  storing_.emplace(Storing{++last_store_, Overlay(store_), std::move(incoming_.front()), {}, {}, {},
                           {}, {}, 0, false, !bearer_.empty(), {}});
  incoming_.pop_front();
  Storing& storing = *storing_;
  std::string_view rest = storing.incoming.body;
  for (std::size_t i = 0; !rest.empty(); ++i) merge_line(storing, take_record(rest), i, now);
  for (const ledger::RecordId& id : storing.incoming.gone) {
    if (!store_.holds(id)) continue;
    storing.overlay.drop(id);
    storing.odd[id] = {};
    storing.rebuild = true;
  }
  if (storing.outside_role > 0) tell(Notice::Kind::outside_role, storing.outside_role);
  if (storing.tally.set_aside > 0) tell(Notice::Kind::set_aside_here, storing.tally.set_aside);

  StoreChange change;
  change.store = storing.store;
  for (const auto& [id, changed] : storing.overlay.changes()) {
    if (changed) {
      if (store_.bytes(id) != changed->bytes) change.puts.push_back({id, changed->bytes});
    } else {
      change.drops.push_back(id);
    }
  }
  // The client's own cursor moves when the disk says so.
  change.state = state_text(storing.incoming.cursor.value_or(cursor_), &storing);
  actions_.emplace_back(std::move(change));
}

void Client::store_done(std::int32_t store, bool stored, const Moment& now) {
  if (!storing_ || storing_->store != store) return;
  Storing storing = std::move(*storing_);
  storing_.reset();
  if (!stored) {
    if (disk_lane_.failures == 0) tell(Notice::Kind::disk_refused);
    failed(disk_lane_, now);
    incoming_.push_front(std::move(storing.incoming));
    return;
  }
  disk_lane_ = {};
  if (storing.has_key && std::exchange(tell_joined_, false)) actions_.emplace_back(Joined{});
  storing.overlay.write_to(store_);
  for (const auto& [id, standing] : storing.odd) {
    standing.aside.empty() && standing.at_ms == 0 ? void(odd_.erase(id))
                                                  : void(odd_[id] = standing);
  }
  remove(unsent_, storing.at_hub);
  remove(contested_, storing.at_hub);
  for (const auto& [device, set] : storing.contested) contested_[device].add(set);
  remove(vouched_less_, storing.contested);
  for (const auto& [device, set] : storing.to_send) {
    for (const SequenceSet::Range& range : set.ranges()) {
      for (std::uint64_t s = range.first; s <= range.last; ++s) note_unsent({device, s}, now);
    }
  }
  std::erase_if(storing.records, [&](ledger::Record& record) { return !counts(record); });
  for (const ledger::Record& record : storing.records) clock_.saw(record.stamp, now.wall_ms);
  const bool is_pull = storing.incoming.cursor.has_value();
  if (is_pull) {
    cursor_ = *storing.incoming.cursor;
    if (storing.incoming.more) {
      fetch_lane_.due_ms = now.elapsed_ms;
    } else {
      store_.rest();
    }
  } else if (!storing.incoming.state_only) {
    storing.tally.last = storing.incoming.last;
    actions_.emplace_back(Notice{Notice::Kind::imported, storing.tally.fresh, "", storing.tally});
  }
  if (!storing.records.empty() || storing.rebuild) {
    actions_.emplace_back(Apply{std::move(storing.records), storing.rebuild});
  }
  tick(now);
}

}  // namespace nthtree::sync
