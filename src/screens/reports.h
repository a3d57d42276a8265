// SPDX-License-Identifier: Apache-2.0
//
// What the screens know of disk, hub and browser, as plain state: part of the session, told by news
// (news.h). Equality is what decides whether a frame is due.
//
//   session.last_save.state == SaveState::on_phone
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "ledger/record.h"

namespace nthtree::screens {

enum class SaveState {
  none,
  writing,
  on_phone,
  on_hub,
  failed,   // by the disk: it waits and is tried again
  refused,  // by the ledger: nothing waits, it stands where it was typed
};
struct LastSave {
  SaveState state = SaveState::none;
  std::optional<ledger::RecordId> record;  // of the first that was made
  std::string trouble;  // "full", "read_only", "closed", "failed", or an error's own words
  ledger::Body body;    // what was to be saved, to show
};

// A moment that moves with every exchange: that alone is no reason to draw a frame.
struct Unwatched {
  std::int64_t ms = 0;
  Unwatched() = default;
  Unwatched(std::int64_t at_ms) : ms(at_ms) {}
  operator std::int64_t() const { return ms; }
  friend bool operator==(const Unwatched&, const Unwatched&) { return true; }
};

enum class Link { never_paired, trying, reached, unreachable, refused };
struct SyncSummary {
  Link link = Link::never_paired;
  bool joined = false;                // this phone has a key of the hub
  bool fetched_all = false;           // the hub had nothing more at the last answer
  int unsent = 0;
  std::int64_t unsent_since_ms = 0;   // of the oldest unsent record; 0 where none
  Unwatched last_reached_ms;          // 0 where never
  int not_backed_up = 0;
  int set_aside = 0;                  // records that could not be read, kept apart
  int hearsay = 0;                    // of others, not confirmed by their own phones yet
  int outside_role = 0;               // more than their writers may say: kept, and not counted
  std::string key_refusal;            // why the hub takes this phone's key no more, an id of its
  int clock_off_minutes = 0;          // against the hub; 0 where fine or unknown
  std::string trouble;                // why joining failed, an id of the hub's; may be empty
  int code_minutes = 0;               // how long its join codes are good; 0 where it did not say
  friend bool operator==(const SyncSummary&, const SyncSummary&) = default;
};

struct StorageSummary {
  bool known = false;
  bool persisted = false;
  bool private_window = false;
  bool writer = true;                 // false: another tab of the app writes
  bool installed = false;
  bool full = false;
  std::string install;      // how it gets to the home screen, see app/platform.h
  bool second_copy = true;  // confirmed records are kept twice
  bool asked = false;       // the person wanted the browser to promise
  std::int64_t usage_bytes = -1;
  std::int64_t quota_bytes = -1;
  std::int64_t lost = 0;          // records the browser threw away and that are not here again
  std::int64_t brought_back = 0;  // records it threw away and the second copy gave back
  friend bool operator==(const StorageSummary&, const StorageSummary&) = default;
};

// A toast stays this long.
inline constexpr std::int64_t toast_ms = 4000;
struct Toast {
  std::string key;    // a language key
  std::string value;  // put in where the text says {value}
  bool warning = false;
  std::int64_t until_ms = 0;
};

}  // namespace nthtree::screens
