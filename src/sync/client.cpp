// SPDX-License-Identifier: Apache-2.0
#include "sync/client.h"

#include <algorithm>

#include "base/text.h"
#include "ledger/json_text.h"
#include "sync/packed_records.h"

namespace nthtree::sync {
namespace {

constexpr std::int64_t refused_again_ms = 5 * 60 * 1000;
// A transport that never calls back must not stop a lane for ever.
constexpr std::int64_t transport_slack_ms = 2000;
constexpr std::int64_t code_minutes_told_max = 24 * 60;  // more is no answer of a hub
constexpr std::size_t state_bytes_max = 16u << 20;

std::vector<std::string> read_proofs(const nlohmann::json& state) {
  std::vector<std::string> proofs;
  const auto list = state.find("proofs");
  if (list == state.end() || !list->is_array()) return proofs;
  for (const auto& proof : *list) {
    if (proof.is_string()) proofs.push_back(proof.get<std::string>());
  }
  return proofs;
}

Coverage read_coverage(const nlohmann::json& state, const char* name) {
  Coverage coverage;
  const auto found = state.find(name);
  if (found == state.end() || !found->is_object()) return coverage;
  for (const auto& [key, ranges] : found->items()) {
    const auto device = ledger::parse_device_key(key);
    const auto set = ranges.is_string() ? parse_sequence_set(ranges.get<std::string>())
                                        : std::nullopt;
    if (device && set) coverage[*device] = *set;
  }
  return coverage;
}

std::string ranges_text(const Coverage& coverage) {
  std::string ranges;
  for (const auto& [device, set] : coverage) {
    if (set.empty()) continue;
    ranges += (ranges.empty() ? "\"" : ",\"") + device.text() + "\":\"" + set.text() + '"';
  }
  return '{' + ranges + '}';
}

void read_odd(const nlohmann::json& state, std::map<ledger::RecordId, Standing>& odd) {
  const auto found = state.find("odd");
  if (found == state.end() || !found->is_object()) return;
  for (const auto& [text, entry] : found->items()) {
    const auto id = ledger::parse_record_id(text);
    if (!id || !entry.is_array() || entry.size() != 2 || !entry[0].is_string() ||
        !entry[1].is_number_unsigned()) {
      continue;
    }
    odd[*id] = {Rank::owned, entry[0].get<std::string>(), entry[1].get<std::int64_t>()};
  }
}

std::string error_of(const nlohmann::json& head) {
  const auto error = head.find("error");
  return error != head.end() && error->is_string() ? error->get<std::string>() : "";
}

std::string odd_text(const ledger::RecordId& id, const Standing& standing) {
  return "\"" + id.text() + "\":[" + ledger::json_quoted(standing.aside) + ',' +
         std::to_string(standing.at_ms) + ']';
}

}  // namespace

base::Result<ledger::Record> Client::load_record(std::string_view bytes) {
  auto record = ledger::read_record(bytes);
  const auto put = [&](const ledger::RecordId& id, std::string text) {
    store_.put(id, std::move(text), contains(loaded_hearsay_, id) ? Rank::hearsay : Rank::owned);
  };
  if (record) {
    put(record->id, std::exchange(record->bytes, {}));
    ledger::Stamp& latest = loaded_[record->id.device];
    latest = std::max(latest, record->stamp);
  } else if (const auto id = well_formed_id(bytes)) {
    put(*id, std::string(bytes));
  }
  return record;
}

bool Client::load_packed(RecordStore::Packed packed, const OnLoaded& on_record) {
  const ledger::DeviceKey device = packed.device;
  const auto claimed = loaded_hearsay_.find(device);
  const auto lines = store_.put_packed(
      std::move(packed), claimed == loaded_hearsay_.end() ? SequenceSet() : claimed->second);
  if (!lines) return false;
  ledger::Stamp& latest = loaded_[device];
  PackedRecords records(*lines);
  for (std::size_t i = 0; i < lines->size(); ++i) {
    base::Result<ledger::Record>& record = records.read(i);
    if (record) latest = std::max(latest, record->stamp);
    on_record(record);
  }
  return true;
}

void Client::load_state(std::string_view state) {
  NTHTREE_ASSERT(!started_);
  store_ = {};
  clock_ = {};
  loaded_.clear();
  loaded_hearsay_.clear();
  proofs_.clear();
  proven_.clear();
  contested_.clear();
  odd_.clear();
  has_device_ = false;
  const auto parsed = ledger::parse_json(state, {state_bytes_max, 3});
  if (!parsed || !parsed->is_object()) return;
  const auto text = [&](const char* name) {
    const auto found = parsed->find(name);
    return found != parsed->end() && found->is_string() ? found->get<std::string>()
                                                        : std::string();
  };
  const auto count = [&](const char* name) {
    const auto found = parsed->find(name);
    return found != parsed->end() && found->is_number_unsigned() ? found->get<std::uint64_t>() : 0;
  };
  const auto key = ledger::parse_device_key(text("device"));
  if (!key) return;
  device_ = *key;
  has_device_ = true;
  bearer_ = text("bearer");
  key_role_ = role_named(text("role"));
  cursor_ = {text("epoch"), count("arrival"), text("opening")};
  own_head_ = count("own_head");
  own_backed_up_ = count("own_backed_up");
  clock_.wrote({static_cast<std::int64_t>(count("clock_ms")),
                static_cast<std::uint32_t>(count("clock_tick"))});
  for (std::string& proof : read_proofs(*parsed)) add_proof(std::move(proof));
  loaded_hearsay_ = read_coverage(*parsed, "hearsay");
  contested_ = read_coverage(*parsed, "contested");
  read_odd(*parsed, odd_);
}

// `storing`: what is stored along with this state; null: nothing.
std::string Client::state_text(const Cursor& cursor, const Storing* storing) const {
  Coverage hearsay = store_.hearsay(), contested = contested_;
  std::map<ledger::RecordId, Standing> odd = odd_;
  if (storing) {
    for (const auto& [id, change] : storing->overlay.changes()) {
      const bool is_hearsay = change && change->rank == Rank::hearsay;
      is_hearsay ? hearsay[id.device].add(id.sequence) : hearsay[id.device].remove(id.sequence);
    }
    for (const auto& [id, standing] : storing->odd) odd[id] = standing;
    for (const auto& [device, set] : storing->contested) contested[device].add(set);
  }
  std::string proofs, odd_ones;
  for (const std::string& proof : proofs_) {
    proofs += (proofs.empty() ? "" : ",") + ledger::json_quoted(proof);
  }
  for (const auto& [id, standing] : odd) {
    if (standing.aside.empty() && standing.at_ms == 0) continue;
    odd_ones += (odd_ones.empty() ? "" : ",") + odd_text(id, standing);
  }
  const auto number = [](std::uint64_t value) { return std::to_string(value); };
  return "{\"v\":1,\"device\":\"" + device_.text() +
         "\",\"bearer\":" + ledger::json_quoted(bearer_) +
         (key_role_ ? std::string(",\"role\":\"") + role_name(*key_role_) + '"' : "") +
         ",\"epoch\":" + ledger::json_quoted(cursor.epoch) +
         ",\"arrival\":" + number(cursor.arrival) + ",\"opening\":" +
         ledger::json_quoted(cursor.opening) + ",\"own_head\":" + number(own_head_) +
         ",\"own_backed_up\":" + number(own_backed_up_) +
         ",\"clock_ms\":" + number(static_cast<std::uint64_t>(clock_.last().at_ms)) +
         ",\"clock_tick\":" + number(clock_.last().tick) + ",\"proofs\":[" + proofs +
         "],\"hearsay\":" + ranges_text(hearsay) + ",\"contested\":" + ranges_text(contested) +
         ",\"odd\":{" + odd_ones + "}}";
}

void Client::start(const ledger::DeviceKey& fresh, const Moment& now) {
  NTHTREE_ASSERT(!started_);
  started_ = true;
  const bool is_new = !has_device_;
  if (is_new) {
    add_proof(fresh.text());
    device_ = proven_.back();
  }
  has_device_ = true;
  // The clock goes on after everything this device wrote; of others it believes less.
  for (const auto& [device, latest] : loaded_) {
    device == device_ ? clock_.wrote(latest) : clock_.saw(latest, now.wall_ms);
  }
  loaded_.clear();
  loaded_hearsay_.clear();
  SequenceSet sent;
  if (own_head_ > 0) sent.add(1, own_head_);
  SequenceSet unsent = store_.held_of(device_).minus(sent);
  if (!unsent.empty()) unsent_[device_] = std::move(unsent);
  if (is_new) store_state(now);
  tick(now);
}

base::Result<ledger::Record> Client::write(ledger::Body body, std::string author,
                                           std::optional<ledger::RecordId> replaces,
                                           std::int64_t wall_ms) {
  NTHTREE_ASSERT(started_);
  ledger::Record record;
  std::uint64_t last = store_.highest_used(device_);
  for (const auto& [id, bytes] : writing_) {
    if (id.device == device_) last = std::max(last, id.sequence);
  }
  // Claimed by somebody else, on the disk or on the way to it: left to them.
  const auto is_claimed = [&](const ledger::RecordId& id) {
    return storing_ ? storing_->overlay.holds(id) : store_.holds(id);
  };
  while (is_claimed({device_, last + 1})) ++last;
  record.id = {device_, last + 1};
  record.clock_ms = wall_ms;
  record.stamp = clock_.next(wall_ms);
  record.author = std::move(author);
  record.replaces = replaces;
  record.body = std::move(body);
  auto written = ledger::write_record(std::move(record));
  if (written) writing_[written->id] = written->bytes;
  return written;
}

void Client::local_stored(const ledger::RecordId& id, const Moment& now) {
  const auto written = writing_.find(id);
  if (written == writing_.end()) return;
  // Somebody claimed this number before it was given: what it is, its owner says.
  const bool was_claimed = store_.holds(id);
  store_.put(id, written->second, Rank::owned);
  writing_.erase(written);
  if (was_claimed) {
    odd_.erase(id);
    actions_.emplace_back(Apply{{}, true});
    store_state(now);
  }
  note_unsent(id, now);
  if (send_lane_.failures == 0) send_lane_.due_ms = now.elapsed_ms;
  tick(now);
}

void Client::local_failed(const ledger::RecordId& id, const Moment& now) {
  writing_.erase(id);
  tick(now);
}

void Client::network_back(const Moment& now) {
  for (LaneState* lane : {&send_lane_, &fetch_lane_}) lane->due_ms = now.elapsed_ms;
  tick(now);
}

void Client::tick(const Moment& now) {
  if (!started_) return;
  expire_requests(now);
  merge_next(now);
  if (bearer_.empty()) return;
  run_fetch_lane(now);
  run_send_lane(now);
}

void Client::expire_requests(const Moment& now) {
  for (auto it = pending_.begin(); it != pending_.end();) {
    if (now.elapsed_ms < it->second.deadline_ms) {
      ++it;
      continue;
    }
    const Lane lane = it->second.lane;
    it = pending_.erase(it);  // a later answer finds nobody waiting
    if (lane == Lane::join) tell(Notice::Kind::join_failed, 0, "no_answer");
    failed(lane_of(lane), now);
  }
}

std::int64_t Client::next_wake_ms() const {
  std::int64_t wake = -1;
  const auto at = [&](std::int64_t ms) { wake = wake < 0 ? ms : std::min(wake, ms); };
  for (const auto& [id, pending] : pending_) at(pending.deadline_ms);
  if (!bearer_.empty() && send_lane_.request == 0) {
    at(needs_hello_ || !unsent_.empty() ? send_lane_.due_ms
                                        : std::max(send_lane_.due_ms, hello_due_ms_));
  }
  if (!storing_ && !incoming_.empty() && !waits_for_local(incoming_.front())) {
    at(disk_lane_.due_ms);
  }
  if (!bearer_.empty() && fetch_lane_.request == 0 && !storing_ && incoming_.empty()) {
    at(fetch_lane_.due_ms);
  }
  return wake;
}

Client::LaneState& Client::lane_of(Lane lane) {
  return lane == Lane::join ? join_lane_ : lane == Lane::send ? send_lane_ : fetch_lane_;
}

void Client::request(Lane lane, std::string_view path, std::string body, Pending pending,
                     const Moment& now) {
  const std::int32_t id = ++last_request_;
  pending.lane = lane;
  pending.path = path;
  pending.at = now;
  pending.device = device_;
  pending.sent_ms = now.elapsed_ms;
  pending.deadline_ms = now.elapsed_ms + settings_.timeout_ms + transport_slack_ms;
  pending_[id] = std::move(pending);
  lane_of(lane).request = id;
  actions_.emplace_back(Send{id, "POST", std::string(path), std::move(body),
                             lane == Lane::join ? "" : bearer_, settings_.timeout_ms});
}

void Client::response(std::int32_t request_id, int status, std::string_view body,
                      const Moment& now) {
  const auto found = pending_.find(request_id);
  if (found == pending_.end()) return;  // too late, or twice
  const Pending asked = std::move(found->second);
  pending_.erase(found);
  LaneState& lane = lane_of(asked.lane);
  lane.request = 0;

  if (asked.lane == Lane::join) return take_join(status, body, now);
  // Whatever does not speak the protocol is not the hub: a captive portal answers 200 with a page
  // of its own, a proxy 502 with another.
  const auto envelope = status > 0 && body.size() <= body_bytes_max + head_bytes_max
                            ? read_envelope(body)
                            : base::Result<Envelope>(base::Error{});
  if (!envelope) {
    failed(lane, now);
  } else if (status == 401) {
    refused(lane, error_of(envelope->head), now);
  } else if (status == 507) {
    if (!told_full_) tell(Notice::Kind::hub_full);
    told_full_ = true;
    failed(lane, now);
  } else if (status == 429 && error_of(envelope->head) == "quota") {
    if (!std::exchange(told_quota_, true)) tell(Notice::Kind::hub_quota);
    failed(lane, now);
  } else if ((status == 400 || status == 413) && asked.path == path_push) {
    push_refused(asked, now);
  } else if (status != 200) {
    failed(lane, now);
  } else if (asked.path == path_hello) {
    take_hello(asked, *envelope, now);
  } else if (asked.path == path_push) {
    take_push(asked, *envelope, now);
  } else {
    take_pull(*envelope, now);
  }
  tick(now);
}

void Client::succeeded(LaneState& lane, std::int64_t due_ms, const Moment& now) {
  lane.failures = 0;
  lane.due_ms = due_ms;
  contact_ms_ = now.wall_ms;
  no_key_ = false;
}

// Waits 1, 2, 4 … seconds up to five minutes, of which a random half is taken off, so that forty
// phones that lost the same network do not come back in the same second.
void Client::failed(LaneState& lane, const Moment& now) {
  lane.request = 0;
  const int doublings = std::min(lane.failures++, 20);
  const std::int64_t most =
      std::min(settings_.retry_most_ms, settings_.retry_first_ms << doublings);
  lane.due_ms = now.elapsed_ms + most / 2 +
                static_cast<std::int64_t>(now.chance % static_cast<std::uint64_t>(most / 2 + 1));
}

void Client::refused(LaneState& lane, std::string why, const Moment& now) {
  ++lane.failures;
  lane.due_ms = now.elapsed_ms + refused_again_ms;
  if (!no_key_) tell(Notice::Kind::no_key, 0, why);
  no_key_ = true;
  key_refusal_ = std::move(why);
}

void Client::tell(Notice::Kind kind, std::int64_t number, std::string text) {
  actions_.emplace_back(Notice{kind, number, std::move(text), {}});
}

void Client::join(std::string code, std::string name, const Moment& now) {
  if (join_lane_.request != 0) return;
  name.resize(std::min(name.size(), device_name_bytes_max));
  while (!base::is_utf8(name)) name.pop_back();  // a letter cut in half
  const JoinRequest join{std::move(code), std::move(name)};
  request(Lane::join, path_join, sync::write(join), {}, now);
}

void Client::take_join(int status, std::string_view body, const Moment& now) {
  const auto envelope = status > 0 ? read_envelope(body) : base::Result<Envelope>(base::Error{});
  const auto reply = envelope && status == 200 ? read_join_reply(*envelope)
                                               : base::Result<JoinReply>(base::Error{});
  if (!reply) {
    std::string why = "no_answer";
    std::int64_t minutes = 0;
    if (envelope && !error_of(envelope->head).empty()) {
      why = error_of(envelope->head);
      const auto said = envelope->head.find("minutes");
      if (said != envelope->head.end() && said->is_number_unsigned()) {
        minutes = std::min(said->get<std::int64_t>(), code_minutes_told_max);
      }
    }
    tell(Notice::Kind::join_failed, minutes, why);
    return;
  }
  bearer_ = reply->bearer;
  key_role_ = reply->role;
  tell_joined_ = true;
  no_key_ = false;
  needs_hello_ = true;
  fetched_all_ = false;
  send_lane_ = {};
  fetch_lane_ = {};
  for (auto it = pending_.begin(); it != pending_.end();) it = pending_.erase(it);
  send_lane_.due_ms = fetch_lane_.due_ms = now.elapsed_ms;
  store_state(now);
  tick(now);
}

bool Client::counts(ledger::Record& record) const {
  const auto odd = odd_.find(record.id);
  if (odd == odd_.end()) return true;
  if (odd->second.at_ms != 0) record.stamp = {odd->second.at_ms, 0};
  return odd->second.aside.empty();
}

void Client::each_counted(const std::function<void(const ledger::Record&)>& visit) const {
  store_.each([&](const ledger::RecordId&, std::string_view bytes) {
    auto record = ledger::read_record(bytes);
    if (record && counts(*record)) visit(*record);
  });
}

Standing Client::standing_of(const ledger::RecordId& id) const {
  const auto odd = odd_.find(id);
  Standing standing = odd == odd_.end() ? Standing{} : odd->second;
  standing.rank = store_.rank(id);
  return standing;
}

std::vector<Action> Client::take_actions() { return std::exchange(actions_, {}); }

Status Client::status() const {
  Status status;
  status.joined = !bearer_.empty();
  status.key_role = key_role_;
  status.no_key = no_key_;
  if (no_key_) status.key_refusal = key_refusal_;
  status.fetched_all = fetched_all_ && incoming_.empty() && !storing_;
  status.unsent = sync::size(unsent_);
  status.hearsay = sync::size(store_.hearsay());
  for (const auto& [id, standing] : odd_) {
    status.outside_role += !standing.aside.empty() && store_.holds(id);
  }
  status.unsent_since_ms = unsent_.empty() ? 0 : unsent_since_ms_;
  status.contact_ms = contact_ms_;
  status.own_head = own_head_;
  status.own_backed_up = own_backed_up_;
  status.hub_behind = send_lane_.failures > 0 || fetch_lane_.failures > 0;
  return status;
}

}  // namespace nthtree::sync
