// SPDX-License-Identifier: Apache-2.0
//
// The demo farm, the languages, the typefaces, and every screen of the app as a named session:
// what the layout tests measure and the contact sheet paints.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "ledger/season.h"
#include "screens/intents.h"
#include "screens/parts/advice_cache.h"
#include "screens/screens.h"
#include "screens/session.h"
#include "widgets/headless.h"

namespace nthtree::screens::stage {

std::string read_file(const std::string& path);

// Languages from assets/languages, once. Codes in order: en, es, fr.
const std::vector<std::string>& languages();
widgets::Fonts& fonts();

// The demo farm as it stands at the end of its week; read once.
const ledger::Season& farm();
// The same at a moment of Thursday morning, in the middle of the work.
std::int64_t thursday_ms();
// The demo farm with a counting exercise in b1: l1 and p1 are through, p3 has two counts left.
const ledger::Season& exercise_farm();
// The demo farm with two gangs, rows that were logged, one of them twice, and trees that do not
// bear; crowding has its price.
const ledger::Season& rows_farm();
// The demo farm after a night that left a tenth of the floral buds of b1 alive.
const ledger::Season& frost_farm();
// A farm with one manager and nothing else.
const ledger::Season& new_farm();
const ledger::Season& no_farm();

struct Scene {
  std::string name;  // of the picture: "count_tap"
  const ledger::Season* season = nullptr;
  Session session;
};

// Every screen in every state worth looking at. Names are unique.
const std::vector<Scene>& scenes();

// Of them, those of rows, going back and tomorrow; those of handing over and taking in; and those
// of the phones that have joined.
void add_rows(std::vector<Scene>& all);
void add_exchange(std::vector<Scene>& all);
void add_phones(std::vector<Scene>& all);
// The demo farm with a station's days: mild ones from 1 January on, with a hole.
const ledger::Season& warm_farm();
const ledger::Season& two_stations_farm();  // Mill Road, then Hill
// Of earlier springs, green tip as it was noted; and the season after one that was closed.
const ledger::Season& noted_farm();
const ledger::Season& new_season_farm();
// The demo farm after its harvest, one tree of which nobody had counted; and with two seasons closed
// before this one.
const ledger::Season& harvest_farm();
const ledger::Season& years_farm();
// Of them, those of when to prune and of temperatures.
void add_times(std::vector<Scene>& all);
// Of them, those of limbs, looks and the lead's walk.
void add_parts(std::vector<Scene>& all);

// A session of that person in that block, on that screen.
Session at(ScreenId screen, const std::string& person, const std::string& block);

// A record written as a phone would, applied to a season.
void add(ledger::Season& season, const ledger::Body& body, const std::string& author,
         std::int64_t at_ms);

}  // namespace nthtree::screens::stage
