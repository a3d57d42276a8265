// SPDX-License-Identifier: Apache-2.0
//
// The sending lane of the client: ask the hub what it lacks, then give it that.
#include <algorithm>
#include <utility>

#include "sync/client.h"

namespace nthtree::sync {
namespace {

// A phone may be minutes off without harm; above this somebody should look at it.
constexpr std::int64_t clock_off_ms = 5 * 60 * 1000;
constexpr std::int64_t refused_first_ms = 15 * 1000;
constexpr std::int64_t refused_most_ms = 10 * 60 * 1000;

}  // namespace

void Client::run_send_lane(const Moment& now) {
  if (send_lane_.request != 0 || now.elapsed_ms < send_lane_.due_ms) return;
  if (needs_hello_ || now.elapsed_ms >= hello_due_ms_) {
    send_hello(now);
  } else if (!unsent_.empty()) {
    send_push(now);
  }
}

void Client::send_hello(const Moment& now) {
  added_since_hello_.clear();
  wanted_.clear();
  std::vector<std::string> proofs = proofs_;
  if (proofs.size() > proofs_max) proofs.erase(proofs.begin(), proofs.end() - proofs_max);
  std::string body = sync::write(
      HelloRequest{device_, store_.coverage(), cursor_, now.wall_ms, std::move(proofs)});
  request(Lane::send, path_hello, std::move(body), {}, now);
}

void Client::take_hello(const Pending& asked, const Envelope& envelope, const Moment& now) {
  const auto reply = read_hello_reply(envelope);
  if (!reply) return failed(send_lane_, now);
  needs_hello_ = false;
  hello_due_ms_ = now.elapsed_ms + settings_.hello_every_ms;
  mind_clock(reply->wall_ms, asked, now);
  mind_epoch(reply->epoch);
  note_heads(asked, reply->head, reply->backed_up);
  if (reply->not_owner && asked.device == device_) {
    device_taken_ = true;
    want_key();
  }
  // Goes to the disk with whatever is stored next: each hello tells it again.
  if (reply->role) key_role_ = reply->role;
  count_no_more(reply->apart, now);

  // Only what is still held can be sent, and what was written meanwhile is unsent too.
  Coverage unsent;
  const auto want = [&](const Coverage& coverage) {
    for (const auto& [device, set] : coverage) {
      const SequenceSet here = set.common_with(store_.held_of(device));
      if (!here.empty()) unsent[device].add(here);
    }
  };
  want(reply->missing);
  want(added_since_hello_);
  want(contested_);
  if (now.elapsed_ms >= refused_until_ms_) refused_by_hub_.clear();
  unsent_ = minus(minus(unsent, refused_by_hub_), vouched_less_);
  if (unsent_.empty()) unsent_since_ms_ = 0;
  succeeded(send_lane_, now.elapsed_ms, now);
}

void Client::mind_epoch(const std::string& epoch) {
  if (!hub_epoch_.empty() ? epoch != hub_epoch_
                          : !cursor_.epoch.empty() && epoch != cursor_.epoch) {
    tell(Notice::Kind::hub_set_back);
    vouched_less_.clear();
  }
  hub_epoch_ = epoch;
}

void Client::mind_clock(std::int64_t hub_wall_ms, const Pending& asked, const Moment& now) {
  const std::int64_t half_way = asked.at.wall_ms + (now.elapsed_ms - asked.sent_ms) / 2;
  const std::int64_t off_ms = half_way - hub_wall_ms;
  if (off_ms > -clock_off_ms && off_ms < clock_off_ms) {
    told_minutes_off_.reset();
    return;
  }
  const std::int64_t minutes = off_ms / 60000;
  if (told_minutes_off_ && std::abs(*told_minutes_off_ - minutes) <= 5) return;
  told_minutes_off_ = minutes;
  tell(Notice::Kind::clock_off, minutes);
}

void Client::send_push(const Moment& now) {
  PushRequest push{device_, {}, {}, {}};
  std::deque<std::string> lines;  // which the request looks at
  std::size_t bytes = 0;
  const auto add = [&](const ledger::RecordId& id) {
    auto record = store_.bytes(id);
    if (!record) return true;  // dropped meanwhile
    if (push.ids.size() >= push_records_max_ || bytes + record->size() > batch_record_bytes_max) {
      return false;
    }
    if (const Standing standing = standing_of(id); !standing.usual()) {
      push.standings[push.ids.size()] = standing;
    }
    push.ids.push_back(id);
    bytes += record->size() + 1;
    push.lines.push_back(lines.emplace_back(std::move(*record)));
    return true;
  };
  const auto add_all = [&](const ledger::DeviceKey& device, const SequenceSet& set) {
    for (const SequenceSet::Range& range : set.ranges()) {
      for (std::uint64_t s = range.first; s <= range.last; ++s) {
        if (!add({device, s})) return false;
      }
    }
    return true;
  };
  const auto own = unsent_.find(device_);
  bool room = true;
  if (own != unsent_.end()) {
    // One record more than needed: where the hub's bytes differ, this phone has a double.
    const std::uint64_t first = own->second.ranges().front().first;
    if (first > 1 && push_records_max_ > 1) add({device_, first - 1});
    room = add_all(device_, own->second);
  }
  for (auto it = unsent_.begin(); room && it != unsent_.end(); ++it) {
    if (it->first != device_) room = add_all(it->first, it->second);
  }
  if (push.ids.empty()) {
    unsent_.clear();
    return;
  }
  Pending pending;
  pending.ids = push.ids;
  request(Lane::send, path_push, sync::write(push), std::move(pending), now);
}

void Client::take_push(const Pending& asked, const Envelope& envelope, const Moment& now) {
  const auto reply = read_push_reply(envelope);
  if (!reply) return failed(send_lane_, now);
  for (const ledger::RecordId& id : asked.ids) {
    refusals_.erase(id);
    for (Coverage* coverage : {&unsent_, &added_since_hello_, &contested_}) {
      const auto device = coverage->find(id.device);
      if (device == coverage->end()) continue;
      device->second.remove(id.sequence);
      if (device->second.empty()) coverage->erase(device);
    }
  }
  for (const ledger::RecordId& id : asked.ids) {
    if (is_own(id.device) && store_.rank(id) == Rank::hearsay) {
      vouched_less_[id.device].add(id.sequence);
    }
  }
  for (const ledger::RecordId& id : reply->wanted) {
    SequenceSet& sent = wanted_[id.device];
    if (store_.holds(id) && !sent.contains(id.sequence)) note_unsent(id, now);
    sent.add(id.sequence);
  }
  told_full_ = told_quota_ = false;
  if (unsent_.empty()) unsent_since_ms_ = 0;
  push_records_max_ = std::min(batch_records_max, push_records_max_ * 2);
  note_heads(asked, reply->head, reply->backed_up);
  if (reply->epoch != hub_epoch_) needs_hello_ = true;
  if (!reply->set_aside.empty()) {
    tell(Notice::Kind::set_aside_at_hub, static_cast<std::int64_t>(reply->set_aside.size()));
    Coverage kept_apart;
    for (const ledger::RecordId& id : reply->set_aside) kept_apart[id.device].add(id.sequence);
    count_no_more(kept_apart, now);
  }
  for (const ledger::RecordId& id : reply->conflicts) {
    if (id.device == device_) want_key();
    fetch_lane_.due_ms = now.elapsed_ms;  // the other record is there to be had
  }
  succeeded(send_lane_, now.elapsed_ms, now);
}

// Hearsay that the hub keeps out of what it holds counts nowhere.
void Client::count_no_more(const Coverage& kept_apart, const Moment& now) {
  bool changed = false;
  for (const auto& [device, set] : kept_apart) {
    const SequenceSet here = set.common_with(store_.held_of(device));
    for (const SequenceSet::Range& range : here.ranges()) {
      for (std::uint64_t s = range.first; s <= range.last; ++s) {
        if (store_.rank({device, s}) == Rank::owned) continue;
        std::string& aside = odd_[{device, s}].aside;
        changed |= aside.empty();
        if (aside.empty()) aside = aside_apart;
      }
    }
  }
  if (!changed) return;
  actions_.emplace_back(Apply{{}, true});
  store_state(now);
}

// The hub does not take the batch apart. Halving finds the one record it is about, which is then
// left out for a while, so that it cannot hold up the others: for a short one at first, because a
// message that the network cut short is refused in the same words.
void Client::push_refused(const Pending& asked, const Moment& now) {
  if (asked.ids.size() > 1) {
    push_records_max_ = asked.ids.size() / 2;
    send_lane_.due_ms = now.elapsed_ms + settings_.retry_first_ms;
    return;
  }
  const ledger::RecordId id = asked.ids.front();
  const int doublings = std::min(refusals_[id]++, 10);
  refused_until_ms_ = std::max(
      refused_until_ms_, now.elapsed_ms + std::min(refused_most_ms, refused_first_ms << doublings));
  refused_by_hub_[id.device].add(id.sequence);
  unsent_ = minus(unsent_, refused_by_hub_);
  added_since_hello_ = minus(added_since_hello_, refused_by_hub_);
  if (doublings == 1) tell(Notice::Kind::set_aside_at_hub, 1);
  send_lane_.due_ms = now.elapsed_ms + settings_.retry_first_ms;
}

void Client::note_heads(const Pending& asked, std::uint64_t head, std::uint64_t backed_up) {
  if (asked.device != device_) return;
  own_head_ = head;
  own_backed_up_ = backed_up;
}

void Client::note_unsent(const ledger::RecordId& id, const Moment& now) {
  if (unsent_.empty()) unsent_since_ms_ = now.wall_ms;
  unsent_[id.device].add(id.sequence);
  added_since_hello_[id.device].add(id.sequence);
}

}  // namespace nthtree::sync
