// SPDX-License-Identifier: Apache-2.0
#include "app/saver.h"

#include <utility>

#include "ledger/authority.h"
#include "screens/parts/new_id.h"

namespace nthtree::app {
namespace {

constexpr std::int64_t again_after_ms = 3000;

const char* trouble_of(StoreOutcome outcome) {
  switch (outcome) {
    case StoreOutcome::full: return "full";
    case StoreOutcome::read_only: return "read_only";
    case StoreOutcome::closed: return "closed";
    default: return "failed";
  }
}

constexpr std::string_view draft_mark = "p:";
std::string draft_key(const std::string& person) { return std::string(draft_mark) + person; }

bool closes_draft(screens::SaveRecords::From from) {
  return from == screens::SaveRecords::From::count || from == screens::SaveRecords::From::buds;
}

}  // namespace

std::optional<std::string> person_of_draft(std::string_view key) {
  if (!key.starts_with(draft_mark)) return std::nullopt;
  return std::string(key.substr(draft_mark.size()));
}

void Saver::save(const screens::SaveRecords& wish) {
  if (wish.bodies.empty()) return;
  Save next;
  next.from = wish.from;
  next.draft_person = context_.session().person;
  // A copy: `next` is moved away in the same call, and a record without its author is a wrong one.
  const std::string author = wish.author.empty() ? next.draft_person : wish.author;
  queue(wish.bodies, author, wish.replaces, std::move(next));
}

void Saver::start_farm(const screens::StartFarm& wish) {
  orchard::Person manager = wish.manager;
  if (manager.id.empty()) manager.id = screens::new_id('m', context_.platform.wall_ms());
  Save next;
  next.becomes_person = manager.id;
  queue({wish.farm, ledger::PersonSettings{manager}}, manager.id, std::nullopt, std::move(next));
}

// The same table as the hub's (sync/hub_trust.cpp). Of a correction, what it corrects says who may.
std::string Saver::why_not(const ledger::Body& body, const std::string& author,
                           const std::optional<ledger::RecordId>& replaces) const {
  const auto bytes = replaces ? context_.client.store().bytes(*replaces) : std::nullopt;
  const auto target = bytes ? ledger::read_record(*bytes)
                            : base::Result<ledger::Record>(base::Error{});
  const auto role = context_.role_of(author);
  if (role) {
    if (*role < ledger::role_needed_of_author(body)) return "role_person";
    if (target && *role < ledger::role_needed_of_author(target->body)) return "role_person";
    const bool anothers = target && target->author != author;
    if (anothers && *role == orchard::Role::pruner) return "role_person";
  }
  const auto key_role = context_.client.status().key_role;
  if (!key_role) return "";
  const bool may = *key_role >= ledger::role_needed(body) &&
                   (!target || *key_role >= ledger::role_needed(target->body));
  return may ? "" : "role_phone";
}

base::Result<std::vector<ledger::Record>> Saver::made(
    const std::vector<ledger::Body>& bodies, const std::string& author,
    const std::optional<ledger::RecordId>& replaces) {
  std::vector<ledger::Record> records;
  for (const ledger::Body& body : bodies) {
    auto record = context_.client.write(body, author, replaces, context_.platform.wall_ms());
    if (!record) {
      // Ids taken so far are given back, so that the sequence keeps no hole.
      for (auto it = records.rbegin(); it != records.rend(); ++it) {
        context_.client.local_failed(it->id, context_.moment());
      }
      return record.error();
    }
    records.push_back(std::move(record.value()));
  }
  return records;
}

void Saver::queue(std::vector<ledger::Body> bodies, const std::string& author,
                  const std::optional<ledger::RecordId>& replaces, Save save) {
  for (ledger::Body& body : bodies) {
    const std::string why = why_not(body, author, replaces);
    if (!why.empty()) return context_.tell(screens::Refused{std::move(body), why});
  }
  auto records = made(bodies, author, replaces);
  if (!records) {
    return context_.tell(screens::Refused{std::move(bodies.front()), records.error().text()});
  }
  save.records = std::move(*records);
  context_.tell(screens::Writing{save.from, std::move(bodies.front()), save.records.front().id});
  saves_.push_back(std::move(save));
  if (saves_.size() == 1) store_next();
}

void Saver::store_next() {
  if (saves_.empty() || save_request_ != 0 || !context_.loaded) return;
  const Save& next = saves_.front();
  std::vector<StoredRecord> records;
  for (const ledger::Record& record : next.records) {
    records.push_back({record.id.device.text(), static_cast<std::int64_t>(record.id.sequence),
                       record.bytes});
  }
  std::vector<MetaChange> meta;
  if (closes_draft(next.from)) {
    // The end of the draft is in the same transaction: a phone that dies now shows either the
    // draft or the count, never both.
    meta.push_back({"draft:" + draft_key(next.draft_person),
                    screens::write_drafts(drafts_of(next.draft_person))});
  }
  const std::uint64_t unsent = context_.client.status().unsent + next.records.size();
  meta.push_back({"unsent", std::to_string(unsent)});
  again_ms_ = -1;
  save_request_ = context_.next_request();
  context_.tell(screens::WritingAgain{});
  context_.platform.store_append(save_request_, records, meta);
}

void Saver::stored(const Save& save) {
  for (const ledger::Record& record : save.records) {
    context_.season.apply(record);
    context_.client.local_stored(record.id, context_.moment());
  }
  context_.tell(screens::Saved{save.becomes_person});
  if (!save.becomes_person.empty()) write_memory();
}

void Saver::failed(StoreOutcome outcome, std::string_view detail) {
  const bool says = outcome == StoreOutcome::failed && !detail.empty();
  context_.tell(screens::NotSaved{says ? std::string(detail) : trouble_of(outcome)});
  if (outcome != StoreOutcome::closed) return;
  again_ms_ = context_.platform.elapsed_ms() + again_after_ms;
  context_.platform.schedule_wake(again_after_ms);
}

bool Saver::done(RequestId id, StoreOutcome outcome, std::string_view detail) {
  if (id == save_request_) {
    save_request_ = 0;
    if (outcome == StoreOutcome::saved) {
      const Save save = std::move(saves_.front());
      saves_.pop_front();
      stored(save);
      store_next();
      write_drafts();
    } else {
      failed(outcome, detail);
    }
    return true;
  }
  if (id != draft_request_) return false;
  draft_request_ = 0;
  write_drafts();  // nothing is told: drafts are silent
  return true;
}

void Saver::on_wake() {
  if (again_ms_ >= 0 && context_.platform.elapsed_ms() >= again_ms_) store_next();
}

void Saver::draft_changed() {
  drafts_dirty_.insert(context_.session().person);
  write_drafts();
}

// One write at a time; taps that come meanwhile are in the next one. So the disk sets the pace.
void Saver::write_drafts() {
  if (!context_.loaded || context_.session().demo || draft_request_ != 0 || waits()) return;
  if (drafts_dirty_.empty()) return;
  const std::string person = *drafts_dirty_.begin();
  drafts_dirty_.erase(drafts_dirty_.begin());
  draft_request_ = context_.next_request();
  context_.platform.store_put_draft(draft_request_, draft_key(person),
                                    screens::write_drafts(drafts_of(person)));
}

const screens::Drafts& Saver::drafts_of(const std::string& person) const {
  static const screens::Drafts none;
  const screens::Session& session = context_.session();
  if (person == session.person) return session.drafts;
  const auto parked = session.parked.find(person);
  return parked == session.parked.end() ? none : parked->second;
}

void Saver::loaded() {
  if (memory_waits_) write_memory();
}

void Saver::write_memory() {
  if (context_.session().demo) return;
  memory_waits_ = !context_.loaded;
  if (memory_waits_) return;
  context_.platform.store_put_meta(context_.next_request(), "memory",
                                   screens::write_memory(context_.session()));
}

}  // namespace nthtree::app
