// SPDX-License-Identifier: Apache-2.0
//
// The fetching lane of the client, and everything that brings records of others: merge a batch,
// store it with its cursor in one transaction, then let the season see it.
#include <algorithm>

#include "sync/client.h"

namespace nthtree::sync {
namespace {

// An imported file may hold a whole season; one transaction takes this many records of it.
constexpr std::size_t import_records_max = 1000;

std::string_view take_line(std::string_view& text) {
  std::string_view line = text.substr(0, text.find('\n'));
  text.remove_prefix(std::min(text.size(), line.size() + 1));
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);  // files pass through Windows
  return line;
}

void remove(Coverage& from, const Coverage& what) { from = minus(from, what); }

}  // namespace

void Client::run_fetch_lane(const Moment& now) {
  // One page at a time: the next is asked for when this one is on the disk.
  if (fetch_lane_.request != 0 || storing_ || !incoming_.empty()) return;
  if (now.elapsed_ms < fetch_lane_.due_ms) return;
  request(Lane::fetch, path_pull, sync::write(PullRequest{cursor_, batch_records_max}), {}, now);
}

void Client::take_pull(const Envelope& envelope, const Moment& now) {
  const auto reply = read_pull_reply(envelope);
  if (!reply) return failed(fetch_lane_, now);
  succeeded(fetch_lane_, now.elapsed_ms + settings_.pull_every_ms, now);
  if (reply->reset) needs_hello_ = true;  // it was set back: it may lack records of ours
  fetched_all_ = !reply->more;
  if (reply->lines.empty() && reply->cursor == cursor_) return;
  Incoming incoming;
  incoming.cursor = reply->cursor;
  incoming.more = reply->more;
  for (const std::string_view line : reply->lines) (incoming.body += line) += '\n';
  incoming_.push_back(std::move(incoming));
}

void Client::import(std::string lines, const Moment& now) {
  std::string_view rest = lines;
  while (!rest.empty()) {
    Incoming incoming;
    for (std::size_t i = 0; i < import_records_max && !rest.empty(); ++i) {
      const std::string_view line = take_line(rest);
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
  device_ = key;
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
    const auto id = peek_id(take_line(rest));
    if (id && writing_.count(*id)) return true;
  }
  return false;
}

void Client::merge_line(Storing& storing, std::string_view line) {
  auto record = ledger::read_record(line);
  // What only a later version can read is kept and passed on all the same.
  const auto id = record ? std::optional(record->id) : well_formed_id(line);
  if (!id) {
    ++storing.tally.damaged;
    return;
  }
  // Somebody else writes under this phone's key, or the phone was set back to an older day.
  const bool own_unknown = id->device == device_ && id->sequence > book_.highest_used(device_);
  const Admission admission = storing.overlay.take(*id, line);
  const bool held = admission.outcome == Admission::Outcome::already_held;
  ++(held ? storing.tally.known : record ? storing.tally.fresh : storing.tally.set_aside);
  const bool conflict = admission.outcome == Admission::Outcome::conflict;
  if (own_unknown || (conflict && id->device == device_)) want_key();
  if (!admission.drops.empty() || conflict) storing.rebuild = true;

  const bool holds_it = storing.overlay.bytes(*id) == line;
  if (storing.incoming.cursor && holds_it) {
    storing.at_hub[id->device].add(id->sequence);
  } else if (!holds_it && storing.overlay.bytes(*id)) {
    storing.to_send[id->device].add(id->sequence);  // ours keeps the id; who sent this should know
  }
  for (const Place& place : admission.puts) {
    if (place.id != *id || !storing.incoming.cursor) {
      storing.to_send[place.id.device].add(place.id.sequence);
    }
    if (auto read = place.id == *id ? std::move(record) : ledger::read_record(place.bytes)) {
      storing.records.push_back(std::move(*read));
    }
  }
}

void Client::merge_next(const Moment& now) {
  if (storing_ || incoming_.empty() || waits_for_local(incoming_.front())) return;
  if (now.elapsed_ms < disk_lane_.due_ms) return;
  storing_.emplace(Storing{++last_store_, Overlay(book_), std::move(incoming_.front()), {}, {}, {},
                           false, !bearer_.empty(), {}});
  incoming_.pop_front();
  Storing& storing = *storing_;
  std::string_view rest = storing.incoming.body;
  while (!rest.empty()) merge_line(storing, take_line(rest));
  if (storing.tally.set_aside > 0) tell(Notice::Kind::set_aside_here, storing.tally.set_aside);

  StoreChange change;
  change.store = storing.store;
  for (const auto& [id, bytes] : storing.overlay.changes()) {
    if (bytes) {
      change.puts.push_back({id, *bytes});
    } else {
      change.drops.push_back(id);
    }
  }
  // The client's own cursor moves when the disk says so.
  change.state = state_text(storing.incoming.cursor.value_or(cursor_));
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
  for (const auto& [id, bytes] : storing.overlay.changes()) {
    if (bytes) {
      book_.put(id, *bytes);
    } else {
      book_.drop(id);
    }
  }
  remove(unsent_, storing.at_hub);
  for (const auto& [device, set] : storing.to_send) {
    for (const SequenceSet::Range& range : set.ranges()) {
      for (std::uint64_t s = range.first; s <= range.last; ++s) note_unsent({device, s}, now);
    }
  }
  for (const ledger::Record& record : storing.records) clock_.saw(record.stamp, now.wall_ms);
  const bool is_pull = storing.incoming.cursor.has_value();
  if (is_pull) {
    cursor_ = *storing.incoming.cursor;
    if (storing.incoming.more) fetch_lane_.due_ms = now.elapsed_ms;
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
