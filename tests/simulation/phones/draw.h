// SPDX-License-Identifier: Apache-2.0
//
// What one seed draws: how large the farm is and how bad its day will be.
//
//   Settings settings = draw(42);
//   puts(settings.text().c_str());
#pragma once

#include <cstdint>
#include <string>

namespace nthtree::simulation {

// Faults planted on purpose: each must be noticed by a checker, or the checkers have no teeth.
enum class Fault {
  none,
  store_not_atomic,       // the phone's disk may keep a cursor without its records
  saved_before_disk,      // a record counts as saved, and is sent, before the disk has it
  answer_before_commit,   // the hub answers a push and commits later
  hello_trusts_marks,     // the hub never says what it lacks
  cursor_unchecked,       // the hub takes any cursor for its own
  key_kept,               // a cloned phone goes on with the key it shares
  loser_thrown_away,      // of two records with one id the hub keeps one
  retry_by_event_only,    // after a failure nothing happens until the next count
  bad_batch_refused,      // a batch with one bad record is refused as a whole
  unknown_dropped,        // kinds of a later version are not kept on the phone
  rebuild_ignored,        // the season keeps what was taken out of it
  page_skips,             // the hub's list of arrivals shows a record late
  bytes_rewritten,        // the hub writes records anew instead of keeping their bytes
  drops_ignored,          // what left its id stays on the phone's disk too
  backup_told_too_early,  // phones hear of a backup that was never made
  count_,
};
const char* name_of(Fault fault);
Fault fault_named(const std::string& name);  // Fault::count_ where there is none

struct Settings {
  std::uint64_t seed = 0;
  Fault fault = Fault::none;
  int phones = 2;
  int counts_per_phone = 10;
  std::int64_t storm_ms = 0;
  int days = 0;  // 0: a storm of minutes; otherwise a season, its nights quiet
  // Of each message: chance to be lost, to come twice, to be cut short, to meet a captive portal.
  double lost = 0, twice = 0, cut = 0, portal = 0;
  std::int64_t delay_ms_max = 0;
  std::int64_t disk_ms_max = 0;
  double hub_crash = 0;  // at each commit, before or after it
  // How often in the storm.
  int phone_crashes = 0, partitions = 0, full_disks = 0, clock_jumps = 0, exchanges = 0;
  int clones = 0, set_backs = 0, resets = 0, strangers = 0;
  int hub_outages = 0, hub_full = 0, backups = 0, restores = 0, replaced_by_hand = 0;
  double corrections = 0;     // of the counts
  int later_kinds = 0, unreadable = 0;  // records of other versions of the app
  std::int64_t skew_ms_max = 0;
  int hostile_acts = 0;  // of a phone that has a key and uses it against the others

  std::string text() const;
};

Settings draw(std::uint64_t seed, Fault fault = Fault::none);
// Forty phones over so many days, with every trouble there is.
Settings draw_season(std::uint64_t seed, int days);

}  // namespace nthtree::simulation
