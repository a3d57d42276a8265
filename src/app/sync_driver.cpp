// SPDX-License-Identifier: Apache-2.0
#include "app/sync_driver.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace nthtree::app {
namespace {

constexpr std::int64_t join_patience_ms = 20000;

}  // namespace

void SyncDriver::drive() {
  const std::uint64_t revision = context_.season.revision();
  sync::Client& client = context_.client;
  for (auto actions = client.take_actions(); !actions.empty(); actions = client.take_actions()) {
    for (sync::Action& action : actions) {
      std::visit([this](auto& wanted) { carry_out(wanted); }, action);
    }
  }
  if (revision != context_.season.revision()) context_.tell(screens::RecordsArrived{});
  const int unsent_before = context_.session().sync.unsent;
  const screens::SyncSummary now = summary();
  context_.tell(screens::SyncTold{now, client.device(), client.status().own_head});
  if (const std::int64_t at = client.next_wake_ms(); at >= 0 && !rests()) {
    context_.platform.schedule_wake(
        std::max<std::int64_t>(1, at - context_.platform.elapsed_ms()));
  }
  // The rescue page and the first words on the page read this number without the app. A save writes
  // it too, so only what an answer of the hub took away is left to write here.
  if (context_.loaded && now.unsent < unsent_before && !saves_wait_()) {
    context_.platform.store_put_meta(context_.next_request(), "unsent",
                                     std::to_string(now.unsent));
  }
}

void SyncDriver::join(std::string code) {
  trouble_.clear();
  joining_until_ms_ = context_.platform.elapsed_ms() + join_patience_ms;
  const orchard::Person* person = context_.season.person(context_.session().person);
  context_.client.join(std::move(code), person ? person->name : "phone", context_.moment());
  drive();
}

void SyncDriver::network_back() {
  context_.client.network_back(context_.moment());
  drive();
}

void SyncDriver::on_wake() {
  if (rests()) return;
  context_.client.tick(context_.moment());
  drive();
}

void SyncDriver::import(std::string lines) {
  context_.client.import(std::move(lines), context_.moment());
  drive();
}

bool SyncDriver::http_done(RequestId id, int status, std::string_view body) {
  const auto found = sends_.find(id);
  if (found == sends_.end()) return false;
  const std::int32_t request = found->second;
  sends_.erase(found);
  context_.client.response(request, status, body, context_.moment());
  drive();
  return true;
}

void SyncDriver::store_done(RequestId id, bool stored) {
  const auto found = changes_.find(id);
  if (found == changes_.end()) return;
  const std::int32_t number = found->second;
  changes_.erase(found);
  context_.client.store_done(number, stored, context_.moment());
}

void SyncDriver::carry_out(sync::Send& send) {
  const RequestId id = context_.next_request();
  sends_[id] = send.request;
  context_.platform.http(id, send.method, send.path, send.bearer, send.body, send.timeout_ms);
}

void SyncDriver::carry_out(sync::StoreChange& change) {
  std::vector<StoredRecord> puts;
  for (sync::RawRecord& raw : change.puts) {
    puts.push_back({raw.id.device.text(), static_cast<std::int64_t>(raw.id.sequence),
                    std::move(raw.bytes)});
  }
  std::vector<StoredName> drops;
  for (const ledger::RecordId& id : change.drops) {
    drops.push_back({id.device.text(), static_cast<std::int64_t>(id.sequence)});
  }
  const RequestId id = context_.next_request();
  changes_[id] = change.store;
  context_.platform.store_change(
      id, puts, drops,
      {{"sync", change.state}, {"unsent", std::to_string(context_.client.status().unsent)}});
}

void SyncDriver::carry_out(sync::Apply& apply) {
  if (apply.rebuild) return rebuild_season();
  for (const ledger::Record& record : apply.records) context_.season.apply(record);
}

void SyncDriver::rebuild_season() {
  context_.season.begin_anew();
  ledger::SeasonLoader loader(context_.season);
  context_.client.each_counted([&](const ledger::Record& record) { loader.add(record); });
  loader.finish();
  context_.cache.forget();
  context_.tell(screens::RecordsArrived{});
}

void SyncDriver::carry_out(sync::WantDeviceKey&) {
  context_.client.use_device_key(context_.random_key(), context_.moment());
}

void SyncDriver::carry_out(sync::Joined&) {
  joining_until_ms_ = 0;
  if (const auto role = context_.client.status().key_role) joined_(*role);
  context_.tell(screens::FarmJoined{});
}

void SyncDriver::carry_out(sync::Notice& notice) {
  using Kind = sync::Notice::Kind;
  const std::string number = std::to_string(std::llabs(notice.number));
  switch (notice.kind) {
    case Kind::cloned: return context_.toast("toast.cloned", {}, true);
    case Kind::clock_off:
      clock_off_minutes_ = static_cast<int>(notice.number);
      return;
    case Kind::hub_set_back: return context_.toast("toast.hub_set_back");
    case Kind::set_aside_here:
      set_aside_ += static_cast<int>(notice.number);
      return context_.toast("toast.set_aside", number, true);
    case Kind::set_aside_at_hub: return context_.toast("toast.set_aside_at_hub", number, true);
    case Kind::outside_role: return context_.toast("toast.outside_role", number, true);
    case Kind::hub_quota: return context_.toast("toast.hub_quota", {}, true);
    case Kind::no_key:
      return context_.toast(notice.text == "key_withdrawn" ? "toast.key_withdrawn"
                            : notice.text == "key_unknown" ? "toast.key_unknown"
                                                           : "toast.no_key",
                            {}, true);
    case Kind::hub_full: return context_.toast("toast.hub_full", {}, true);
    case Kind::join_failed:
      joining_until_ms_ = 0;
      trouble_ = notice.text;
      code_minutes_ = static_cast<int>(notice.number);
      refusal_ = notice.text == "no_answer" ? screens::Link::unreachable : screens::Link::refused;
      return;
    case Kind::disk_refused:
      context_.tell(screens::TakeWaits{"disk"});
      return context_.toast("toast.disk_refused", {}, true);
    case Kind::imported: return taken_in(notice.tally);
  }
}

void SyncDriver::taken_in(const sync::Notice::Tally& tally) {
  screens::Taken part;
  part.fresh = tally.fresh;
  part.known = tally.known;
  part.set_aside = tally.set_aside;
  part.damaged = tally.damaged;
  context_.tell(screens::TakenIn{part, tally.last});
  if (tally.last) imported_(tally.fresh);
}

screens::SyncSummary SyncDriver::summary() const {
  using screens::Link;
  const sync::Status status = context_.client.status();
  screens::SyncSummary now;
  now.joined = status.joined && !status.no_key;
  now.fetched_all = status.fetched_all;
  now.code_minutes = code_minutes_;
  now.clock_off_minutes = clock_off_minutes_;
  if (!status.joined) now.trouble = trouble_;
  if (joining_until_ms_ > context_.platform.elapsed_ms() && !status.joined) {
    now.link = Link::trying;
  } else if (status.no_key) {
    now.link = Link::refused;
  } else if (status.joined) {
    now.link = status.hub_behind       ? Link::unreachable
               : status.contact_ms > 0 ? Link::reached
                                       : Link::trying;
  } else if (!trouble_.empty()) {
    now.link = refusal_;
  }
  now.unsent = static_cast<int>(status.unsent);
  now.unsent_since_ms = status.unsent_since_ms;
  now.last_reached_ms = status.contact_ms;
  now.not_backed_up =
      static_cast<int>(status.own_head > status.own_backed_up
                           ? status.own_head - status.own_backed_up : 0);
  now.set_aside = set_aside_;
  now.key_refusal = status.key_refusal;
  now.hearsay = static_cast<int>(status.hearsay);
  now.outside_role = static_cast<int>(status.outside_role);
  return now;
}

}  // namespace nthtree::app
