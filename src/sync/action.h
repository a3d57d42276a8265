// SPDX-License-Identifier: Apache-2.0
//
// What the client is told with each event, what it asks for, and what it has for the screen.
//
//   for (Action& action : client.take_actions()) std::visit(carry_out, action);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "ledger/record.h"
#include "sync/rehome.h"

namespace nthtree::sync {

struct Moment {
  std::int64_t wall_ms = 0;
  std::int64_t elapsed_ms = 0;
  std::uint64_t chance = 0;  // 64 random bits, new each time
};

// ---- what the client asks for

struct Send {  // answer with response(); it counts as lost after timeout_ms whatever happens
  std::int32_t request = 0;  // 1 … 2^31 - 1, never reused in a run
  std::string method, path, body;
  std::string bearer;        // the phone's key, for the header; empty when joining
  std::int64_t timeout_ms = 0;
};
struct StoreChange {  // one transaction; answer with store_done() once it is on the disk or failed
  std::int32_t store = 0;
  std::vector<RawRecord> puts;           // put or replace
  std::vector<ledger::RecordId> drops;   // remove
  std::string state;                     // replaces the stored state
};
struct Apply {  // now on the disk: take these into the season
  std::vector<ledger::Record> records;
  bool rebuild = false;  // something was replaced: make the season anew from store()
};
struct WantDeviceKey {};  // answer with use_device_key(128 random bits)
struct Joined {};  // the key is on this phone's disk
struct Notice {
  enum class Kind {
    cloned,           // this phone's key was in use elsewhere; it goes on with a new one
    outside_role,     // number: records that their writers might not write: kept, and not counted
    clock_off,        // number: minutes this phone's clock is ahead of the hub's (or behind, < 0)
    hub_set_back,     // the hub came back from a backup and is being refilled
    set_aside_here,   // number: records this app cannot read; kept, passed on, not shown
    set_aside_at_hub, // number: records the hub cannot read; it keeps them apart
    no_key,           // the hub does not take this phone's key: join again; nothing is lost. text:
                      // key_withdrawn, key_unknown (it was set back to before the phone joined), …
    hub_quota,        // this phone has sent the hub more than one may in a day; it is tried later
    hub_full,         // the hub's disk is full; the phone keeps everything
    join_failed,      // text: the hub's error id or no_answer; number: minutes its codes are good
    disk_refused,     // this phone's disk did not take what the hub sent; tried again later
    imported,         // a part of an import is on the disk; tally says what was in it
  };
  struct Tally {  // of the lines of an import
    std::int64_t fresh = 0, known = 0;  // new; held already
    std::int64_t set_aside = 0;  // new, but for a later version to read: kept and passed on
    std::int64_t damaged = 0;    // no record at all; not kept
    bool last = true;  // no more of this import is to come
  };
  Kind kind;
  std::int64_t number = 0;
  std::string text;
  Tally tally;
};
using Action = std::variant<Send, StoreChange, Apply, WantDeviceKey, Joined, Notice>;

// ---- for the screen

struct Status {
  bool joined = false;               // the phone has a key
  std::optional<orchard::Role> key_role;  // what the key may do; empty: the hub does not say
  bool no_key = false;               // the hub refused the key at the last try …
  std::string key_refusal;           // … with this error id
  bool fetched_all = false;          // the hub's last answer had nothing more for this phone
  std::uint64_t unsent = 0;          // records the hub is not known to hold
  std::int64_t unsent_since_ms = 0;  // wall time the oldest of them was stored; 0: unknown or none
  std::int64_t contact_ms = 0;       // wall time of the last good answer; 0: none in this run
  std::uint64_t own_head = 0;        // this device's records 1 … here are on the hub
  std::uint64_t own_backed_up = 0;   // … and in a verified backup of it
  bool hub_behind = false;           // requests fail at the moment
  std::uint64_t hearsay = 0;         // records that their owners' phones have not confirmed
  std::uint64_t outside_role = 0;    // kept, and not counted: see Standing::aside
};

}  // namespace nthtree::sync
