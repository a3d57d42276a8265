// SPDX-License-Identifier: Apache-2.0
#include "app/lock.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/text.h"
#include "ledger/json_text.h"

namespace nthtree::app {
namespace {

using nlohmann::json;

constexpr ledger::JsonLimits text_limits{.bytes_max = 1 << 16, .depth_max = 3};
constexpr const char* stored_name = "locks";

std::string random_salt(Platform& platform) {
  std::array<unsigned char, 16> bytes{};
  platform.random_bytes(bytes.data(), bytes.size());
  std::string text;
  for (const unsigned char byte : bytes) text += base::print("%02x", byte);
  return text;
}

std::int64_t wait_after(int wrong) {
  if (wrong < tries_free) return 0;
  const int doublings = std::min(wrong - tries_free, 10);
  return std::min(wait_first_ms << doublings, wait_most_ms);
}

bool are_of(const json& entry, std::initializer_list<json::value_t> types) {
  if (!entry.is_array() || entry.size() != types.size()) return false;
  const auto is_of = [](json::value_t type, const json& value) {
    return type == json::value_t::string ? value.is_string() : value.is_number_integer();
  };
  return std::equal(types.begin(), types.end(), entry.begin(), is_of);
}

}  // namespace

void Lock::load(std::string_view text) {
  entries_.clear();
  using Type = json::value_t;
  const auto list = ledger::parse_json(text, text_limits);
  if (list && list->is_array()) {
    for (const json& e : *list) {
      if (!are_of(e, {Type::string, Type::string, Type::string, Type::number_integer,
                      Type::string, Type::number_integer, Type::number_integer,
                      Type::number_integer})) {
        continue;
      }
      entries_[e[0].get<std::string>()] = {
          e[1].get<std::string>(), e[2].get<std::string>(), e[3].get<int>(),
          e[4].get<std::string>(), e[5].get<int>(), e[6].get<std::int64_t>(),
          e[7].get<std::int64_t>()};
    }
  }
  touched();
  tell();
}

std::string Lock::text() const {
  json list = json::array();
  for (const auto& [person, e] : entries_) {
    list.push_back({person, e.salt, e.hash, e.rounds, e.credential, e.wrong, e.wrong_ms,
                    e.until_ms});
  }
  return entries_.empty() ? "" : list.dump();
}

void Lock::write() {
  context_.platform.store_put_meta(context_.next_request(), stored_name, text());
  tell();
}

void Lock::tell() {
  screens::Locks now = context_.session().locks;
  now.pins.clear();
  now.phones.clear();
  for (const auto& [person, entry] : entries_) {
    now.pins.insert(person);
    if (!entry.credential.empty()) now.phones.insert(person);
  }
  now.has_phone_lock = context_.platform.has_phone_lock();
  now.checking = !asked_.empty();
  context_.tell(screens::LocksTold{now});
}

RequestId Lock::ask(Asked asked) {
  const RequestId id = context_.next_request();
  asked_[id] = std::move(asked);
  return id;
}

// A clock that was set back does not shorten the wait.
bool Lock::waits(Entry& entry) {
  const std::int64_t now_ms = context_.platform.wall_ms();
  if (now_ms < entry.wrong_ms) {
    entry.wrong_ms = now_ms;
    entry.until_ms = now_ms + wait_after(entry.wrong);
  }
  return now_ms < entry.until_ms;
}

// Counted as wrong before it is tried: a tab that is killed meanwhile has used up a try.
void Lock::unlock(const screens::Unlock& wish) {
  const auto found = entries_.find(wish.person);
  if (found == entries_.end()) return opened(wish.person);
  Entry& entry = found->second;
  if (!asked_.empty() || waits(entry)) return tell();
  entry.wrong_ms = context_.platform.wall_ms();
  entry.until_ms = entry.wrong_ms + wait_after(++entry.wrong);
  const RequestId id = ask({wish.drop ? Asked::For::drop : Asked::For::unlock, wish.person, ""});
  write();
  context_.platform.stretch(id, wish.pin, entry.salt, entry.rounds);
}

void Lock::unlock_by_phone(const screens::UnlockByPhone& wish) {
  const auto found = entries_.find(wish.person);
  if (found == entries_.end() || found->second.credential.empty() || !asked_.empty()) return;
  const RequestId id = ask({Asked::For::phone, wish.person, ""});
  context_.platform.ask_phone_lock(id, found->second.credential);
}

void Lock::set_pin(const screens::SetPin& wish) {
  const std::string& person = context_.session().person;
  if (person.empty() || entries_.count(person) > 0 || !asked_.empty()) return;
  const std::string salt = random_salt(context_.platform);
  const RequestId id = ask({Asked::For::set, person, salt});
  tell();
  context_.platform.stretch(id, wish.pin, salt, pin_rounds);
}

void Lock::use_phone_lock(const screens::UsePhoneLock& wish) {
  const auto found = entries_.find(context_.session().person);
  if (found == entries_.end() || !asked_.empty()) return;
  if (!wish.on) {
    found->second.credential.clear();
    return write();
  }
  const RequestId id = ask({Asked::For::make_phone, found->first, ""});
  context_.platform.ask_phone_lock(id, "");
}

void Lock::forget(const std::string& person) {
  if (entries_.erase(person) == 0) return;
  write();
  context_.toast("toast.pin_gone");
}

void Lock::joined_as(orchard::Role role) {
  const std::size_t before = entries_.size();
  for (auto it = entries_.begin(); it != entries_.end();) {
    const orchard::Person* person = context_.season.person(it->first);
    it = !person || person->role <= role ? entries_.erase(it) : std::next(it);
  }
  if (entries_.size() != before) write();
}

bool Lock::done(RequestId id, bool ok, std::string_view text) {
  const auto found = asked_.find(id);
  if (found == asked_.end()) return false;
  const Asked asked = std::move(found->second);
  asked_.erase(found);
  Entry& entry = entries_[asked.person];
  switch (asked.what) {
    case Asked::For::set:
      if (ok) entry = {asked.salt, std::string(text)};
      else entries_.erase(asked.person);
      ok ? write() : context_.tell(screens::LockUnusable{});
      if (ok) context_.toast("toast.pin_set");
      break;
    case Asked::For::make_phone:
      if (ok) entry.credential = text;
      write();
      if (!ok) context_.toast("toast.phone_lock_refused", {}, true);
      break;
    case Asked::For::phone:
      ok ? opened(asked.person) : context_.toast("toast.phone_lock_refused", {}, true);
      break;
    case Asked::For::unlock:
    case Asked::For::drop:
      if (!ok || text != entry.hash) {
        wrong(asked.person);
      } else if (asked.what == Asked::For::unlock) {
        opened(asked.person);
      } else {
        forget(asked.person);
      }
      break;
  }
  tell();
  return true;
}

void Lock::opened(const std::string& person) {
  if (const auto found = entries_.find(person); found != entries_.end()) {
    found->second.wrong = 0;
    found->second.wrong_ms = found->second.until_ms = 0;
    write();
  }
  touched();
  context_.tell(screens::Unlocked{person});
  opened_();
}

void Lock::wrong(const std::string& person) {
  const std::int64_t until_ms = entries_[person].until_ms;
  context_.tell(screens::PinWrong{until_ms});
  const std::int64_t wait_ms = until_ms - context_.platform.wall_ms();
  if (wait_ms > 0) context_.platform.schedule_wake(wait_ms);
}

void Lock::touched() { touched_ms_ = context_.platform.wall_ms(); }

// Nobody is locked out of a tree that is half counted.
void Lock::mind_idle() {
  const screens::Session& session = context_.session();
  if (session.demo || !session.locks.has(session.person)) return;
  const screens::ScreenId here = session.here().screen;
  if (here == screens::ScreenId::count || here == screens::ScreenId::buds) return;
  if (context_.platform.wall_ms() - touched_ms_ < idle_lock_ms) return;
  context_.tell(screens::LockedUp{});
}

}  // namespace nthtree::app
