// SPDX-License-Identifier: Apache-2.0
//
// Everything a screen knows beside the season: who holds the phone, where they are in the app,
// what they have half done, and what is known of storage and the network.
//
// It is plain state. Screens and app read it and never write: `apply` (intents.h, news.h) does,
// from what somebody wanted and from what happened outside.
//
// Invariants: `stack` is never empty; at most one count draft is open; nothing here says "saved"
// unless a durable write was told. Units: milliseconds since 1970-01-01 UTC, spurs.
//
//   Session session;
//   for (const Intent& intent : draw(ui, season, session, cache)) apply(session, season, intent);
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/record.h"
#include "orchard/station_file.h"
#include "orchard/tree_address.h"
#include "orchard/varieties.h"
#include "screens/drafts.h"
#include "screens/exchange.h"
#include "screens/locks.h"
#include "screens/phones.h"
#include "screens/reports.h"

namespace nthtree::screens {

enum class ScreenId {
  opening,       // the records are being read
  welcome,       // an empty phone: join, start a farm, look at the demo
  join_farm,
  start_farm,
  who,           // who are you? also the switch of person on a shared phone
  unlock,        // the PIN of whoever was chosen; without a person: set one, or take it away
  choose_block,
  home,          // pruner, lead or manager home, by the person's role
  count,         // any count of one tree
  what_counts,   // what is a spur, as a drawing
  verdict,       // after a tag or check count was saved
  part_told,     // after some limbs of a tree were
  walk,          // scores by eye: one's own trees, or the lead's walk past somebody's
  my_day,
  entry,         // one saved count: correct it or take it back
  row_done,      // a row that is pruned, or a part of one
  no_tree,       // no bearing tree stands where one is due
  worklist,      // tagged trees worth a re-count
  standing,      // one pruner's standing, with its reason
  give_advice,
  agreement,     // tag against check counts, by counter
  exercise,      // several people, the same trees, twice
  buds,          // dissection tally
  before_counts,
  rows,          // rows × people, for a gang without phones
  brief,         // the crew's brief for a block
  review,        // the day's review
  block_map,
  going_back,    // which rows stand wrong, and what going back brings
  tomorrow,      // who goes where
  morning_word,  // a page a gang
  numbers,       // behind a block, for experts
  history,
  share,         // export, print
  hand_over,     // to another phone, without a network
  show_codes,
  receive,
  set_up,        // the farm: blocks, people, rates
  edit_block,
  planting,      // what does not bear in a block
  edit_person,
  settings_made, // who set what, and when; with a record: that one, to be taken back
  phones,        // that have joined the hub, and what each may do
  edit_phone,    // without a record: a code for another one
  rates,
  varieties,     // what is usual for each, and what the farm set
  edit_variety,
  second_pass,
  harvest,
  return_bloom,
  settings,
  sync,          // network, storage, updates
  help,
  cautions,
  frost,         // buds cut open after a cold night
  when_to_prune, // each block's time and reason, green tip and bloom ahead
  years,         // seasons side by side
  close_season,  // and begin the next
  papers,        // to print
  scan_tag,      // the camera on a printed tag
  tree,          // that it opens
  temperatures,  // by day, typed or from a station's file
};

// A screen and what it is about. Empty fields mean "the session's own".
struct Stop {
  ScreenId screen = ScreenId::opening;
  std::string block;
  std::string person;
  orchard::TreeAddress tree;
  std::string record;  // record id where the stop is about one entry; a variety's name; a phone's
                       // number
  friend bool operator==(const Stop&, const Stop&) = default;
};

enum class Theme { sun, dark };
enum class Units { farm, metric, us };  // farm: as the farm's settings say

// Belongs to this phone, not to the farm.
struct Preferences {
  std::string language = "en";
  Theme theme = Theme::sun;
  int text_percent = 100;  // 100, 115, 130, 145, 160
  bool left_hand = false;
  Units units = Units::farm;
  bool practice = false;
  bool buzz = true;
  friend bool operator==(const Preferences&, const Preferences&) = default;
};

// What a table is sorted by; column -1: as it came.
struct Sorting {
  int column = -1;
  bool descending = false;
};

// A weather station's file as it was read, until its days are kept or it is put away.
struct StationText {
  std::string text;
  bool too_large = false;
  std::map<std::string, orchard::StationColumns> columns;  // as told before, by the file's head
};

struct Session {
  std::string person;  // person id; empty until somebody said who they are
  std::string block;   // block id; empty until chosen
  std::vector<Stop> stack = {{}};
  Drafts drafts;                        // the present person's
  std::map<std::string, Drafts> parked; // of the others who share this phone, by person id
  std::string asking;  // the yes/no question on the screen; empty where none
  std::optional<CountDraft> practised;  // a practice count just ended; nothing was recorded
  std::map<std::string, std::string> fields;  // typed, not yet kept; by field id
  bool fields_tried = false;  // keeping was tried: show every error, and how many are wrong:
  int fields_wrong = 0;
  std::string filter;         // typed in a long list
  bool reason_open = false;   // the lead opened the reason of a verdict
  std::int64_t day = 0;       // the day looked at in reviews; 0: the last one with records
  std::map<std::string, Sorting> sorted;  // tables of the office's screen, by id
  Preferences preferences;
  std::map<std::string, std::string> languages;  // that each person chose here, by person id
  bool demo = false;          // the season shown is the demo farm's; nothing is stored

  // from news
  std::string time_zone;      // the rule of this phone's clock, see base/time_zone.h; may be empty
  std::int64_t now_ms = 0;
  std::int64_t made_ms = 0;       // when the program was made, to the day; 0: unknown
  std::int64_t records_read = 0;   // while opening
  std::int64_t records_there = 0;  // so many the store is thought to hold; 0: unknown
  bool reading = false;           // the season is still being read: of it, people alone are known
  LastSave last_save;
  SyncSummary sync;
  StorageSummary storage;
  std::string update_version;     // a whole new version waits; empty where none
  std::optional<Toast> toast;
  bool can_scan = false;
  bool us_region = false;         // the phone's region measures in feet, pounds and acres
  Exchange exchange;              // from phone to phone
  Locks locks;                    // who has one on this phone
  Phones phones;                  // that have joined
  StationText station;
  std::vector<orchard::Variety> varieties;  // presets, from assets/varieties.json
  const Stop& here() const { return stack.back(); }
};

// Text forms for the phone's own store. Unreadable text gives nothing back, never half a state.
std::string write_drafts(const Drafts& drafts);  // empty text where there is nothing half done
std::optional<Drafts> read_drafts(std::string_view text);

// What this phone keeps of the session beside records and drafts: preferences, who holds it, the
// block they are in. False, and nothing changed, where the text cannot be read.
std::string write_memory(const Session& session);
bool read_memory(Session& session, std::string_view text);

}  // namespace nthtree::screens
