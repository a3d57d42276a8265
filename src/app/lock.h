// SPDX-License-Identifier: Apache-2.0
//
// The locks of people on this phone: a PIN for lead and manager on a phone that several use. A lock
// against a colleague's borrowed minute, not cryptography of our own: the browser stretches the PIN
// (PBKDF2), wrong tries slow down, and whoever takes the phone apart can read it anyway. Kept on
// this phone alone and never in a record: four digits stretched ever so slowly are guessed from a
// copy within minutes, and records are copied to every phone (sync/THREATS.md).
//
// A forgotten PIN is opened by a manager on the same phone, or by joining with a code of that role.
//
//   lock.load(text);                 // the stored "locks"
//   lock.unlock(wish);               // then, from the platform:
//   if (lock.done(id, ok, text)) …
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <string_view>

#include "app/context.h"

namespace nthtree::app {

// OWASP Password Storage Cheat Sheet, PBKDF2-HMAC-SHA256 (from memory).
inline constexpr int pin_rounds = 600000;
inline constexpr int tries_free = 3;              // then each waits twice as long …
inline constexpr std::int64_t wait_first_ms = 30 * 1000;
inline constexpr std::int64_t wait_most_ms = 15 * 60 * 1000;  // … up to this
inline constexpr std::int64_t idle_lock_ms = 10 * 60 * 1000;  // untouched for so long

class Lock {
 public:
  // `opened`: told when somebody has opened theirs and holds the phone.
  Lock(Context& context, std::function<void()> opened)
      : context_(context), opened_(std::move(opened)) {}

  void load(std::string_view text);  // of the store; "" on a new phone
  void tell();
  void unlock(const screens::Unlock& wish);  // or takes the PIN away, where that is wished
  void unlock_by_phone(const screens::UnlockByPhone& wish);
  void set_pin(const screens::SetPin& wish);  // of whoever holds the phone
  void use_phone_lock(const screens::UsePhoneLock& wish);
  void forget(const std::string& person);
  // This phone joined with a key of that role: whoever may do no more has proved who they are.
  void joined_as(orchard::Role role);
  bool done(RequestId id, bool ok, std::string_view text);  // false: not ours
  // Before each frame, and after each touch: a phone laid down is locked after a while.
  void mind_idle();
  void touched();

 private:
  struct Entry {
    std::string salt, hash;   // hexadecimal
    int rounds = pin_rounds;
    std::string credential;   // of the phone's own lock; empty: not used
    int wrong = 0;            // tries since the last right one
    std::int64_t wrong_ms = 0, until_ms = 0;
  };
  struct Asked {
    enum class For { unlock, drop, phone, set, make_phone } what = For::unlock;
    std::string person, salt;
  };

  RequestId ask(Asked asked);
  void opened(const std::string& person);
  void wrong(const std::string& person);
  bool waits(Entry& entry);
  void write();
  std::string text() const;

  Context& context_;
  std::function<void()> opened_;
  std::map<std::string, Entry> entries_;
  std::map<RequestId, Asked> asked_;
  std::int64_t touched_ms_ = 0;
};

}  // namespace nthtree::app
