// SPDX-License-Identifier: Apache-2.0
#include "sync/hub_side.h"

#include <algorithm>

namespace nthtree::sync {
namespace {

bool contains(const Coverage& coverage, const ledger::RecordId& id) {
  const auto device = coverage.find(id.device);
  return device != coverage.end() && device->second.contains(id.sequence);
}

HubReply failure_reply(const base::Error& error) {
  return {error.id == "disk_full" ? 507 : 503, write_error(error)};
}

}  // namespace

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
    for (std::size_t i = 0; i < push->lines.size(); ++i) {
      const auto record = ledger::read_record(push->lines[i]);
      const auto id = record ? std::optional(record->id) : well_formed_id(push->lines[i]);
      request.unreadable.push_back(!record);
      request.broken.push_back(!id                    ? record.error().text()
                               : *id == push->ids[i] ? ""
                               : "its id is not the one it was sent under (other_id)");
    }
    request.message = std::move(*push);
  }
  return request;
}

base::Status HubSide::open() {
  held_.clear();
  set_aside_.clear();
  ceded_.clear();
  epoch_ = store_.epoch();
  last_arrival_ = store_.last_arrival();
  std::vector<ledger::RecordId> firsts;  // re-homed records are always the first of their device
  store_.each_id([&](const ledger::RecordId& id) {
    held_[id.device].add(id.sequence);
    if (id.sequence == 1) firsts.push_back(id);
  });
  for (const ledger::RecordId& id : firsts) {
    if (const auto bytes = store_.bytes(id)) hold(id, *bytes);
  }
  store_.each_set_aside([&](const ledger::RecordId& id, const ledger::DeviceKey& sender) {
    set_aside_[sender][id.device].add(id.sequence);
  });
  if (const auto failure = store_.failure()) return *failure;
  return base::Ok{};
}

HubReply HubSide::take(const HubRequest& request, const std::string& carrier,
                       std::int64_t wall_ms) {
  HubReply reply;
  if (const auto* hello = std::get_if<HelloRequest>(&request.message)) {
    reply.body = answer(*hello, wall_ms);
  } else if (const auto* pull = std::get_if<PullRequest>(&request.message)) {
    reply.body = answer(*pull);
  } else {
    const auto& push = *std::get_if<PushRequest>(&request.message);
    reply.body = answer(push, request, {push.device, carrier, wall_ms});
  }
  if (const auto failure = store_.failure()) return failure_reply(*failure);
  return reply;
}

base::Result<std::uint64_t> HubSide::import(const std::vector<ledger::Record>& records,
                                            std::int64_t wall_ms) {
  std::uint64_t added = 0;
  for (const ledger::Record& record : records) {
    const auto outcome = take_record(record.id, record.bytes, {{}, "import", wall_ms});
    if (outcome != Admission::Outcome::already_held) ++added;
  }
  if (const auto failure = store_.failure()) return *failure;
  return added;
}

std::string HubSide::answer(const HelloRequest& hello, std::int64_t wall_ms) {
  HelloReply reply;
  reply.epoch = epoch_;
  reply.wall_ms = wall_ms;
  reply.missing = minus(hello.have, held_);
  const auto set_aside = set_aside_.find(hello.device);
  if (set_aside != set_aside_.end()) reply.missing = minus(reply.missing, set_aside->second);
  reply.head = head(hello.device);
  reply.backed_up = store_.backed_up(hello.device);
  return write(reply);
}

std::string HubSide::answer(const PullRequest& pull) {
  PullReply reply;
  const Cursor& asked = pull.cursor;
  const bool is_first = asked.epoch.empty() && asked.arrival == 0;
  // A hub that was set back without its own restore command betrays itself by giving the numbers
  // this phone has seen a second time, from another start.
  const bool is_ours = asked.epoch == epoch_ && asked.arrival <= last_arrival_ &&
                       asked.opening == store_.opening_of(asked.arrival);
  reply.reset = !is_first && !is_ours;
  reply.cursor = is_ours ? asked : Cursor{epoch_, 0, ""};
  const auto page = store_.page(reply.cursor.arrival,
                                std::min<std::uint64_t>(pull.records_max, batch_records_max),
                                batch_record_bytes_max);
  for (const Arrival& arrival : page) reply.lines.push_back(arrival.bytes);
  if (!page.empty()) {
    reply.cursor.arrival = page.back().arrival;
    reply.cursor.opening = store_.opening_of(page.back().arrival);
    reply.more = page.back().arrival < last_arrival_;
  }
  return write(reply);
}

std::string HubSide::answer(const PushRequest& push, const HubRequest& request,
                            const Provenance& from) {
  PushReply reply;
  for (std::size_t i = 0; i < push.ids.size(); ++i) {
    const ledger::RecordId& id = push.ids[i];
    if (request.unreadable[i]) reply.set_aside.push_back(id);
    if (!request.broken[i].empty()) {
      if (!request.unreadable[i]) reply.set_aside.push_back(id);
      store_.set_aside(id, push.lines[i], request.broken[i], from);
      set_aside_[push.device][id.device].add(id.sequence);
    } else if (take_record(id, push.lines[i], from) == Admission::Outcome::conflict) {
      reply.conflicts.push_back(id);
    }
  }
  reply.epoch = epoch_;
  reply.head = head(push.device);
  reply.backed_up = store_.backed_up(push.device);
  return write(reply);
}

Admission::Outcome HubSide::take_record(const ledger::RecordId& id, std::string_view bytes,
                                        const Provenance& from) {
  const Admission admission = admit(*this, id, bytes);
  for (const Place& place : admission.puts) {
    store_.put(++last_arrival_, place.id, place.bytes, from);
    hold(place.id, place.bytes);
  }
  for (const ledger::RecordId& dropped : admission.drops) {
    store_.drop(dropped);
    let_go(dropped);
  }
  return admission.outcome;
}

void HubSide::hold(const ledger::RecordId& id, std::string_view bytes) {
  held_[id.device].add(id.sequence);
  if (const auto original = original_of(id, bytes)) ceded_.insert(original->id);
}

void HubSide::let_go(const ledger::RecordId& id) {
  const auto device = held_.find(id.device);
  if (device == held_.end()) return;
  device->second.remove(id.sequence);
  if (device->second.empty()) held_.erase(device);
}

std::optional<std::string> HubSide::bytes(const ledger::RecordId& id) const {
  return contains(held_, id) ? store_.bytes(id) : std::nullopt;
}

std::uint64_t HubSide::head(const ledger::DeviceKey& device) const {
  const auto held = held_.find(device);
  SequenceSet all = held == held_.end() ? SequenceSet() : held->second;
  // What its device sent and is no record, and an id that its record has left, are no gaps.
  if (const auto sender = set_aside_.find(device); sender != set_aside_.end()) {
    const auto own = sender->second.find(device);
    if (own != sender->second.end()) all.add(own->second);
  }
  for (auto id = ceded_.lower_bound({device, 1}); id != ceded_.end() && id->device == device;
       ++id) {
    all.add(id->sequence);
  }
  return all.head();
}

}  // namespace nthtree::sync
