// SPDX-License-Identifier: Apache-2.0
// Carries out what the sync client wants, and says in the session how it stands.
#include <algorithm>
#include <cstdlib>
#include <utility>

#include "app/app.h"

namespace nthtree::app {

sync::Moment App::moment() {
  sync::Moment now;
  now.wall_ms = platform_.wall_ms();
  now.elapsed_ms = platform_.elapsed_ms();
  platform_.random_bytes(&now.chance, sizeof now.chance);
  return now;
}

ledger::DeviceKey App::random_key() {
  ledger::DeviceKey key;
  platform_.random_bytes(&key.high, sizeof key.high);
  platform_.random_bytes(&key.low, sizeof key.low);
  return key;
}

void App::drive_sync() {
  const screens::SyncSummary before = session_.sync;
  const std::uint64_t revision = season_.revision();
  for (std::vector<sync::Action> actions = client_.take_actions(); !actions.empty();
       actions = client_.take_actions()) {
    for (sync::Action& action : actions) {
      std::visit([this](auto& wanted) { carry_out(wanted); }, action);
    }
  }
  summarise_sync();
  if (const std::int64_t at = client_.next_wake_ms(); at >= 0) {
    platform_.schedule_wake(std::max<std::int64_t>(1, at - platform_.elapsed_ms()));
  }
  const screens::SyncSummary& now = session_.sync;
  // The rescue page and the first words on the page read this number without the app. A save writes
  // it too, so only what an answer of the hub took away is left to write here.
  if (loaded_ && now.unsent < before.unsent && saves_.empty()) {
    platform_.store_put_meta(next_request(), "unsent", std::to_string(now.unsent));
  }
  // An exchange that brought nothing new draws nothing.
  if (revision != season_.revision() || before.link != now.link || before.unsent != now.unsent ||
      before.trouble != now.trouble || before.joined != now.joined ||
      before.fetched_all != now.fetched_all || before.not_backed_up != now.not_backed_up ||
      before.clock_off_minutes != now.clock_off_minutes) {
    platform_.request_frame();
  }
}

void App::carry_out(sync::Send& send) {
  const RequestId id = next_request();
  sends_[id] = send.request;
  platform_.http(id, send.method, send.path, send.bearer, send.body, send.timeout_ms);
}

void App::on_http_done(RequestId id, int status, std::string_view body) {
  if (demo_.request != 0 && id == demo_.request) {
    demo_.request = 0;
    if (status == 200) {
      take_demo(body);
    } else {
      toast("toast.no_demo", {}, true);
    }
    platform_.request_frame();
    return;
  }
  const auto found = sends_.find(id);
  if (found == sends_.end()) return;
  const std::int32_t request = found->second;
  sends_.erase(found);
  client_.response(request, status, body, moment());
  drive_sync();
}

void App::carry_out(sync::StoreChange& change) {
  std::vector<StoredRecord> puts;
  for (sync::Place& place : change.puts) {
    puts.push_back({place.id.device.text(), static_cast<std::int64_t>(place.id.sequence),
                    std::move(place.bytes)});
  }
  std::vector<StoredName> drops;
  for (const ledger::RecordId& id : change.drops) {
    drops.push_back({id.device.text(), static_cast<std::int64_t>(id.sequence)});
  }
  const RequestId id = next_request();
  store_changes_[id] = change.store;
  platform_.store_change(id, puts, drops,
                         {{"sync", change.state},
                          {"unsent", std::to_string(client_.status().unsent)}});
}

void App::carry_out(sync::Apply& apply) {
  if (apply.rebuild) return rebuild_season();
  for (const ledger::Record& record : apply.records) season_.apply(record);
  // The first records of a farm arrive: from "join" to "who are you?". Where they came from another
  // phone, below what is told about them.
  const screens::ScreenId here = session_.here().screen;
  const bool told = here == screens::ScreenId::receive &&
                    session_.stack.front().screen == screens::ScreenId::welcome;
  if (told || here == screens::ScreenId::welcome || here == screens::ScreenId::join_farm) {
    if (season_.has_farm() || !season_.people().empty()) {
      session_.fields.clear();
      session_.stack = screens::first_stack(season_, session_);
      if (told) session_.stack.push_back({screens::ScreenId::receive, {}, {}, {}, {}});
      follow_screen();
    }
  }
}

void App::rebuild_season() {
  std::vector<ledger::Record> records;
  client_.book().each([&records](const ledger::RecordId&, const std::string& bytes) {
    if (auto record = ledger::read_record(bytes)) records.push_back(std::move(*record));
  });
  season_ = {};
  season_.apply_all(std::move(records));
  reckoning_.forget();
}

void App::carry_out(sync::WantDeviceKey&) { client_.use_device_key(random_key(), moment()); }

// On an empty phone the join screen says what comes; one that has a farm already goes on with it.
void App::carry_out(sync::Joined&) {
  joining_until_ms_ = 0;
  if (season_.has_farm() && session_.here().screen == screens::ScreenId::join_farm) {
    session_.fields.clear();
    if (session_.stack.size() > 1) session_.stack.pop_back();
    follow_screen();
    toast("toast.joined");
  }
}

void App::carry_out(sync::Notice& notice) {
  using Kind = sync::Notice::Kind;
  const std::string number = std::to_string(std::llabs(notice.number));
  switch (notice.kind) {
    case Kind::cloned: return toast("toast.cloned", {}, true);
    case Kind::clock_off:
      session_.sync.clock_off_minutes = static_cast<int>(notice.number);
      return;
    case Kind::hub_set_back: return toast("toast.hub_set_back");
    case Kind::set_aside_here:
      set_aside_ += static_cast<int>(notice.number);
      return toast("toast.set_aside", number, true);
    case Kind::set_aside_at_hub: return toast("toast.set_aside_at_hub", number, true);
    case Kind::no_key: return toast("toast.no_key", {}, true);
    case Kind::hub_full: return toast("toast.hub_full", {}, true);
    case Kind::join_failed:
      joining_until_ms_ = 0;
      session_.sync.trouble = notice.text;
      session_.sync.code_minutes = static_cast<int>(notice.number);
      session_.sync.link =
          notice.text == "no_answer" ? screens::Link::unreachable : screens::Link::refused;
      return;
    case Kind::disk_refused:
      if (session_.exchange.taken.state == screens::Taken::State::taking) {
        session_.exchange.taken.trouble = "disk";
      }
      return toast("toast.disk_refused", {}, true);
    case Kind::imported: return imported(notice.tally);
  }
}

void App::summarise_sync() {
  const sync::Status status = client_.status();
  screens::SyncSummary& now = session_.sync;
  using screens::Link;
  now.joined = status.joined && !status.no_key;
  now.fetched_all = status.fetched_all;
  if (joining_until_ms_ > platform_.elapsed_ms() && !status.joined) {
    now.link = Link::trying;
  } else if (status.no_key) {
    now.link = Link::refused;
  } else if (status.joined) {
    now.link = status.hub_behind       ? Link::unreachable
               : status.contact_ms > 0 ? Link::reached
                                       : Link::trying;
    now.trouble.clear();
  } else if (now.trouble.empty()) {
    now.link = Link::never_paired;
  }
  now.unsent = static_cast<int>(status.unsent);
  now.unsent_since_ms = status.unsent_since_ms;
  now.last_reached_ms = status.contact_ms;
  now.not_backed_up =
      static_cast<int>(status.own_head > status.own_backed_up
                           ? status.own_head - status.own_backed_up : 0);
  now.set_aside = set_aside_;
  screens::LastSave& last = session_.last_save;
  if (last.state == screens::SaveState::on_phone && last.record && !session_.demo &&
      last.record->device == client_.device() && last.record->sequence <= status.own_head) {
    last.state = screens::SaveState::on_hub;
  }
}

}  // namespace nthtree::app
