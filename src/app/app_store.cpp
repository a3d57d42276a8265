// SPDX-License-Identifier: Apache-2.0
// Records and drafts on their way to the phone's own disk.
#include <utility>

#include "screens/parts/new_id.h"
#include "app/app.h"

namespace nthtree::app {
namespace {

constexpr std::int64_t save_again_after_ms = 3000;

// A key for records of the demo, which never leave the memory.
constexpr ledger::DeviceKey demo_device{0xDE30, 1};

const char* trouble_of(StoreOutcome outcome) {
  switch (outcome) {
    case StoreOutcome::full: return "full";
    case StoreOutcome::read_only: return "read_only";
    case StoreOutcome::closed: return "closed";
    default: return "failed";
  }
}

StoredRecord stored(const ledger::RecordId& id, std::string bytes) {
  return {id.device.text(), static_cast<std::int64_t>(id.sequence), std::move(bytes)};
}

}  // namespace

std::string App::draft_key(const std::string& person) const { return "p:" + person; }

void App::save(const screens::SaveRecords& wish) {
  using From = screens::SaveRecords::From;
  Save next;
  const std::string& author = wish.author.empty() ? session_.person : wish.author;
  session_.last_save = {};
  if (!wish.bodies.empty()) session_.last_save.body = wish.bodies.front();
  for (const ledger::Body& body : wish.bodies) {
    auto record = client_.write(body, author, wish.replaces, platform_.wall_ms());
    if (!record) {
      // Ids taken so far are given back, so that the sequence keeps no hole.
      for (auto it = next.records.rbegin(); it != next.records.rend(); ++it) {
        client_.local_failed(it->id, moment());
      }
      session_.last_save.state = screens::SaveState::failed;
      session_.last_save.trouble = record.error().text();
      return;
    }
    next.records.push_back(std::move(record.value()));
  }
  if (next.records.empty()) return;
  next.closes_draft = wish.from == From::count || wish.from == From::buds;
  next.draft_person = session_.person;
  session_.last_save.record = next.records.front().id;
  session_.last_save.state = screens::SaveState::writing;
  queue(std::move(next));
}

void App::save_in_demo(const screens::SaveRecords& wish) {
  session_.last_save = {};
  for (const ledger::Body& body : wish.bodies) {
    ledger::Record record;
    record.id = {demo_device, ++demo_.sequence};
    record.stamp = {session_.now_ms, static_cast<std::uint32_t>(demo_.sequence % 1000)};
    record.clock_ms = session_.now_ms;
    record.author = wish.author.empty() ? session_.person : wish.author;
    record.replaces = wish.replaces;
    record.body = body;
    auto written = ledger::write_record(std::move(record));
    if (!written) {
      session_.last_save.state = screens::SaveState::failed;
      session_.last_save.trouble = written.error().text();
      return;
    }
    demo_.season.apply(*written);
    if (!session_.last_save.record) session_.last_save.record = written->id;
  }
  session_.last_save.state = screens::SaveState::on_phone;
}

void App::start_farm(const screens::StartFarm& wish) {
  orchard::Person manager = wish.manager;
  if (manager.id.empty()) manager.id = screens::new_id('m', platform_.wall_ms());
  Save next;
  for (const ledger::Body& body :
       {ledger::Body(wish.farm), ledger::Body(ledger::PersonSettings{manager})}) {
    auto record = client_.write(body, manager.id, std::nullopt, platform_.wall_ms());
    if (!record) {
      session_.last_save.state = screens::SaveState::failed;
      session_.last_save.trouble = record.error().text();
      return;
    }
    next.records.push_back(std::move(record.value()));
  }
  next.becomes_person = manager.id;
  session_.last_save = {};
  session_.last_save.state = screens::SaveState::writing;
  queue(std::move(next));
}

void App::queue(Save save) {
  saves_.push_back(std::move(save));
  if (saves_.size() == 1) store_next_save();
}

void App::store_next_save() {
  if (saves_.empty() || save_request_ != 0 || !loaded_) return;
  const Save& next = saves_.front();
  std::vector<StoredRecord> records;
  for (const ledger::Record& record : next.records) {
    records.push_back(stored(record.id, record.bytes));
  }
  std::vector<MetaChange> meta;
  if (next.closes_draft) {
    // The end of the draft is in the same transaction: a phone that dies now shows either the
    // draft or the count, never both.
    meta.push_back({"draft:" + draft_key(next.draft_person),
                    screens::write_drafts(drafts_of(next.draft_person))});
  }
  meta.push_back({"unsent", std::to_string(client_.status().unsent + next.records.size())});
  save_again_ms_ = -1;
  save_request_ = next_request();
  session_.last_save.state = screens::SaveState::writing;
  platform_.store_append(save_request_, records, meta);
}

void App::saved(const Save& save) {
  for (const ledger::Record& record : save.records) {
    season_.apply(record);
    client_.local_stored(record.id, moment());
  }
  session_.last_save.state = screens::SaveState::on_phone;
  session_.last_save.trouble.clear();
  session_.storage.full = false;
  if (!save.becomes_person.empty()) {
    session_.person = save.becomes_person;
    session_.fields.clear();
    session_.fields_tried = false;
    session_.stack = screens::first_stack(season_, session_);
    follow_screen();
    write_memory();
  }
}

void App::on_store_done(RequestId id, StoreOutcome outcome, std::string_view detail) {
  const bool ok = outcome == StoreOutcome::saved;
  if (outcome == StoreOutcome::full) session_.storage.full = true;
  if (id == save_request_) {
    save_request_ = 0;
    if (ok) {
      const Save done = std::move(saves_.front());
      saves_.pop_front();
      saved(done);
      store_next_save();
      write_draft();
    } else {
      session_.last_save.state = screens::SaveState::failed;
      session_.last_save.trouble = trouble_of(outcome);
      if (outcome == StoreOutcome::failed && !detail.empty()) {
        session_.last_save.trouble = std::string(detail);
      }
      if (outcome == StoreOutcome::closed) {
        save_again_ms_ = platform_.elapsed_ms() + save_again_after_ms;
        platform_.schedule_wake(save_again_after_ms);
      }
    }
  } else if (id == draft_request_) {
    draft_request_ = 0;
    write_draft();
    return;  // nothing to show: drafts are silent
  } else if (const auto change = store_changes_.find(id); change != store_changes_.end()) {
    const std::int32_t number = change->second;
    store_changes_.erase(change);
    client_.store_done(number, ok, moment());
  }
  if (loaded_) drive_sync();
  platform_.request_frame();
}

// One write at a time; taps that come meanwhile are in the next one. So the disk sets the pace.
void App::write_draft() {
  if (!loaded_ || session_.demo || draft_request_ != 0 || !saves_.empty()) return;
  if (drafts_dirty_.empty()) return;
  const std::string person = *drafts_dirty_.begin();
  drafts_dirty_.erase(drafts_dirty_.begin());
  draft_request_ = next_request();
  platform_.store_put_draft(draft_request_, draft_key(person),
                            screens::write_drafts(drafts_of(person)));
}

const screens::Drafts& App::drafts_of(const std::string& person) {
  return person == session_.person ? session_.drafts : session_.parked[person];
}

void App::write_memory() {
  if (!loaded_ || session_.demo) return;
  platform_.store_put_meta(next_request(), "memory", screens::write_memory(session_));
}

}  // namespace nthtree::app
