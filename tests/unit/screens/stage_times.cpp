// SPDX-License-Identifier: Apache-2.0
// Scenes of when to prune, of temperatures and of a station's file.
#include "ledger/current.h"
#include "unit/screens/stage.h"

namespace nthtree::screens::stage {
namespace {

ledger::Season with_days(bool has_hole) {
  ledger::Season season = farm();
  std::vector<int> lows, highs;
  for (int day = 0; day < 45; ++day) {
    lows.push_back(-60 + 2 * day);
    highs.push_back(40 + 3 * day);
  }
  add(season, ledger::Temperatures{"Mill Road", "2026-01-01", lows, highs}, "m1",
      thursday_ms() - 60000);
  if (!has_hole) {
    add(season, ledger::Temperatures{"Mill Road", "2026-02-15", {12, 20}, {150, 171}}, "m1",
        thursday_ms() - 50000);
  } else {
    add(season, ledger::Temperatures{"Mill Road", "2026-02-18", {12}, {150}}, "m1",
        thursday_ms() - 50000);
  }
  return season;
}

// Fruits on the trees tagged this season, spread about `fruits`.
void harvest(ledger::Season& season, int fruits, std::int64_t at_ms) {
  std::vector<orchard::TreeAddress> trees;
  for (const auto& tag : ledger::current(season.block("b1")->tag_counts)) {
    if (trees.size() < 12) trees.push_back(tag.body.tree);
  }
  int i = 0;
  for (const orchard::TreeAddress& at : trees) {
    add(season, ledger::HarvestCount{"b1", at, fruits + i % 5 - 2}, "m1", at_ms + i + 1);
    ++i;
  }
}

void closed_season(ledger::Season& season, int year, int fruits, std::int64_t at_ms) {
  for (int i = 0; i < 8; ++i) {
    ledger::TagCount tag;
    tag.block = "b1";
    tag.tree = {2 + 3 * i, 11};
    tag.spurs = 160 + 5 * i;
    add(season, tag, "p1", at_ms + i);
    add(season, ledger::HarvestCount{"b1", tag.tree, fruits + i}, "m1", at_ms + 1000 + i);
  }
  add(season, ledger::SeasonClosed{year}, "m1", at_ms + 2000);
}

}  // namespace

const ledger::Season& harvest_farm() {
  static const ledger::Season season = [] {
    ledger::Season autumn = farm();
    harvest(autumn, 70, thursday_ms() + 1000);
    add(autumn, ledger::HarvestCount{"b1", {30, 9}, 240}, "m1", thursday_ms() + 5000);
    return autumn;
  }();
  return season;
}

const ledger::Season& years_farm() {
  constexpr std::int64_t year_ms = 365LL * 24 * 3600 * 1000;
  static const ledger::Season season = [] {
    ledger::Season years = harvest_farm();
    closed_season(years, 2024, 110, thursday_ms() - 2 * year_ms);
    closed_season(years, 2025, 30, thursday_ms() - year_ms);
    return years;
  }();
  return season;
}

const ledger::Season& new_season_farm() {
  static const ledger::Season season = [] {
    ledger::Season next = years_farm();
    add(next, ledger::SeasonClosed{2026}, "m1", thursday_ms() + 9000);
    return next;
  }();
  return season;
}

// Last spring's days and green tips: two blocks that tell, one note that cannot be right.
const ledger::Season& noted_farm() {
  static const ledger::Season season = [] {
    ledger::Season noted = farm();
    constexpr std::int64_t day_ms = 24 * 3600 * 1000;
    const std::int64_t spring_ms = thursday_ms() - 400 * day_ms;  // 1 January 2025
    for (const char* first : {"2025-01-01", "2026-01-01"}) {
      add(noted, ledger::Temperatures{"Mill Road", first, std::vector<int>(60, 17),
                                      std::vector<int>(60, 128)}, "m1", spring_ms);
    }
    add(noted, ledger::GrowthStage{"b1", 53}, "l1", spring_ms + 31 * day_ms);
    add(noted, ledger::GrowthStage{"b2", 53}, "l1", spring_ms + 25 * day_ms);
    add(noted, ledger::GrowthStage{"b3", 53}, "l1", spring_ms + day_ms);
    return noted;
  }();
  return season;
}

const ledger::Season& warm_farm() {
  static const ledger::Season season = with_days(true);
  return season;
}

const ledger::Season& two_stations_farm() {
  static const ledger::Season season = [] {
    ledger::Season two = warm_farm();
    add(two, ledger::Temperatures{"Hill", "2026-01-01", {-40, -31}, {20, 35}}, "m1",
        thursday_ms() + 1000);
    return two;
  }();
  return season;
}

void add_times(std::vector<Scene>& all) {
  const auto put = [&](const char* name, ScreenId screen, const char* person) -> Scene& {
    all.push_back({name, &farm(), at(screen, person, "b1")});
    return all.back();
  };
  put("when_none", ScreenId::when_to_prune, "m1");
  put("when", ScreenId::when_to_prune, "m1").season = &warm_farm();
  put("when_own", ScreenId::when_to_prune, "m1").season = &noted_farm();
  put("map_new_season", ScreenId::block_map, "m1").season = &new_season_farm();
  put("history_new_season", ScreenId::history, "m1").season = &new_season_farm();
  put("temperatures_none", ScreenId::temperatures, "l1");
  Scene& typed = put("temperatures", ScreenId::temperatures, "l1");
  typed.season = &warm_farm();
  typed.session.fields["temperatures/low"] = "41";
  typed.session.fields["temperatures/high"] = "30";
  put("temperatures_two", ScreenId::temperatures, "l1").season = &two_stations_farm();
  put("when_two", ScreenId::when_to_prune, "m1").season = &two_stations_farm();
  Scene& of_block = put("edit_block_station", ScreenId::edit_block, "m1");
  of_block.season = &two_stations_farm();
  of_block.session.stack.back().block = "b1";
  Scene& file = put("station_open", ScreenId::temperatures, "l1");
  file.session.station.text =
      "Site,Date,Max,Min\nYard,3/4/2026,55,35\nHill,4/4/2026,50,30\nHill,5/4/2026,20,40\n";
  file.session.fields["station/place"] = "1";
  Scene& answered = put("station_answered", ScreenId::temperatures, "l1");
  answered.season = &warm_farm();
  answered.session.station.text =
      "Date,Max,Min\n2026-01-01,55,35\n2026-01-01,50,30\n2026-01-04,50,30\n2026-01-05,,\n";
  answered.session.fields["station/unit"] = "1";
  answered.session.fields["station/same"] = "0";
  answered.session.fields["station/name"] = "Hill";
  put("harvest_taught", ScreenId::harvest, "m1").season = &harvest_farm();
  put("years", ScreenId::years, "m1").season = &years_farm();
  put("close_season", ScreenId::close_season, "m1").season = &harvest_farm();
  Scene& twice = put("close_twice", ScreenId::close_season, "m1");
  twice.season = &years_farm();
  twice.session.fields["close/year"] = "2025";
  Scene& sure = put("close_sure", ScreenId::close_season, "m1");
  sure.season = &harvest_farm();
  sure.session.asking = "close_season";
  put("papers", ScreenId::papers, "m1");
  Scene& scan = put("scan_tag", ScreenId::scan_tag, "l1");
  scan.session.can_scan = true;
  scan.session.exchange.camera.trouble = "other_farm_tag";
  Scene& opened = put("tree", ScreenId::tree, "l1");
  opened.season = &harvest_farm();
  opened.session.stack.back().tree = farm().block("b1")->tag_counts.front().body.tree;
  Scene& no_table = put("station_no_table", ScreenId::temperatures, "l1");
  no_table.session.station.text = "hello";
}

}  // namespace nthtree::screens::stage
