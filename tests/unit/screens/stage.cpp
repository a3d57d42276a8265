// SPDX-License-Identifier: Apache-2.0
#include "unit/screens/stage.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <tuple>

#include "base/text.h"
#include "ledger/ledger.h"
#include "support/places.h"
#include "support/typefaces.h"
#include "widgets/language.h"

namespace nthtree::screens::stage {
namespace {

constexpr const char* farm_folder = "scenarios/oxbow_lantern";

ledger::Season read_farm(std::int64_t until_ms) {
  ledger::Season season;
  std::vector<std::string> paths;
  for (const auto& file : std::filesystem::directory_iterator(test::in_project(farm_folder))) {
    if (file.path().extension() == ".jsonl") paths.push_back(file.path().string());
  }
  std::sort(paths.begin(), paths.end());
  for (const std::string& path : paths) {
    for (const ledger::Record& record : ledger::read_ledger_file(read_file(path)).records) {
      if (record.stamp.at_ms <= until_ms) season.apply(record);
    }
  }
  return season;
}

CountDraft draft(CountPurpose purpose, const std::string& person, int taps) {
  CountDraft count;
  count.purpose = purpose;
  count.person = person;
  count.block = "b1";
  count.tree = {12, 48};
  count.limbs = {taps};
  count.steps.assign(static_cast<std::size_t>(taps), 1);
  count.started_ms = thursday_ms();
  return count;
}

Scene scene(const std::string& name, ScreenId screen, const std::string& person,
            const std::string& block = "b1") {
  return {name, &farm(), at(screen, person, block)};
}

void add_first_run(std::vector<Scene>& all) {
  for (auto [name, screen] : {std::pair{"welcome", ScreenId::welcome},
                              std::pair{"join", ScreenId::join_farm},
                              std::pair{"start_farm", ScreenId::start_farm},
                              std::pair{"opening", ScreenId::opening}}) {
    Scene made{name, &no_farm(), at(screen, "", "")};
    made.session.records_read = 1200;
    all.push_back(made);
  }
  Scene reading{"opening_of", &no_farm(), at(ScreenId::opening, "", "")};
  reading.session.records_read = 120000;
  reading.session.records_there = 200000;
  all.push_back(reading);
  Scene wrong{"join_wrong", &no_farm(), at(ScreenId::join_farm, "", "")};
  wrong.session.fields["code"] = "ABC 12";
  wrong.session.fields_tried = true;
  wrong.session.can_scan = true;
  all.push_back(wrong);
  for (const char* trouble : {"code_unknown", "code_expired", "code_used"}) {
    Scene refused = wrong;
    refused.name = std::string("join_") + trouble;
    refused.session.fields["code"] = "7KQ2M-0XWGT";
    refused.session.sync.link = Link::refused;
    refused.session.sync.trouble = trouble;
    refused.session.sync.code_minutes = 10;
    all.push_back(refused);
  }
  Scene joined{"joined_empty", &no_farm(), at(ScreenId::join_farm, "", "")};
  joined.session.sync.joined = joined.session.sync.fetched_all = true;
  all.push_back(joined);
  all.push_back({"who_empty", &no_farm(), at(ScreenId::who, "", "")});
  all.push_back({"block_empty", &new_farm(), at(ScreenId::choose_block, "m", "")});
  all.push_back({"manager_new_farm", &new_farm(), at(ScreenId::home, "m", "")});
  all.push_back({"history_empty", &new_farm(), at(ScreenId::history, "m", "")});
  all.push_back({"review_empty", &new_farm(), at(ScreenId::review, "m", "")});
}

void add_pruner(std::vector<Scene>& all) {
  all.push_back(scene("who", ScreenId::who, "p3"));
  all.push_back(scene("choose_block", ScreenId::choose_block, "p3"));
  all.push_back(scene("pruner_home", ScreenId::home, "p3"));
  Scene demo = scene("pruner_home_demo", ScreenId::home, "p4");
  demo.session.demo = true;
  demo.session.preferences.practice = true;
  demo.session.drafts.count = draft(CountPurpose::tag, "p4", 57);
  all.push_back(demo);
  Scene tap = scene("count_tap", ScreenId::count, "p3");
  tap.session.drafts.count = draft(CountPurpose::tag, "p3", 140);
  all.push_back(tap);
  Scene limbs = tap;
  limbs.name = "count_limbs";
  limbs.session.drafts.count->way = CountWay::limbs;
  limbs.session.drafts.count->limbs = {18, 21, 25, 12, 7};
  all.push_back(limbs);
  Scene keypad = tap;
  keypad.name = "count_keypad";
  keypad.session.drafts.count->way = CountWay::keypad;
  keypad.session.drafts.count->digits = "187";
  all.push_back(keypad);
  Scene tree = tap;
  tree.name = "count_tree";
  tree.session.asking = "tree";
  all.push_back(tree);
  Scene thrown = tap;
  thrown.name = "count_throw";
  thrown.session.asking = "throw";
  all.push_back(thrown);
  Scene too_many = keypad;
  too_many.name = "count_too_many";
  too_many.session.drafts.count->digits = "9999";
  all.push_back(too_many);
  Scene odd = keypad;
  odd.name = "count_odd";
  odd.session.drafts.count->digits = "1400";
  odd.session.asking = "odd";
  all.push_back(odd);
  all.push_back(scene("what_counts", ScreenId::what_counts, "p3"));
  Scene looking = tap;
  looking.name = "count_looking_tab";
  looking.session.storage.writer = false;
  all.push_back(looking);
  all.push_back(scene("my_day", ScreenId::my_day, "p3"));
  all.push_back(scene("my_day_lead", ScreenId::my_day, "l1"));
  all.push_back(scene("my_day_empty", ScreenId::my_day, "m1"));
}

// The last tag count of a person, as the verdict screen meets it after a save.
// Where more is to be left than unpruned trees carry.
const ledger::Season& bare_farm() {
  static const ledger::Season season = [] {
    ledger::Season made = farm();
    for (int tree = 1; tree <= 60; ++tree) {
      add(made, ledger::BeforeCount{"b1", {31, tree}, 150}, "l1", thursday_ms() - 90000 + tree);
    }
    add(made, ledger::TagCount{"b1", {30, 61}, 120}, "p3", thursday_ms() - 60000);
    return made;
  }();
  return season;
}

Scene after_save(const std::string& name, const std::string& person, SaveState state,
                 const ledger::Season& season = farm()) {
  Scene made = scene(name, ScreenId::verdict, person);
  made.season = &season;
  for (const auto& entry : season.block("b1")->tag_counts) {
    if (entry.author != person || entry.withdrawn) continue;
    made.session.stack.back().tree = entry.body.tree;
    made.session.last_save.body = entry.body;
    made.session.last_save.record = entry.position.id;
  }
  made.session.last_save.state = state;
  return made;
}

void add_verdicts(std::vector<Scene>& all) {
  all.push_back(after_save("verdict_p3", "p3", SaveState::on_phone));
  all.push_back(after_save("verdict_p4", "p4", SaveState::writing));
  all.push_back(after_save("verdict_p1", "p1", SaveState::on_hub));
  Scene failed = after_save("verdict_failed", "p2", SaveState::failed);
  failed.session.last_save.trouble = "full";
  failed.session.storage.full = true;
  all.push_back(failed);
  all.push_back(after_save("verdict_all_stays", "p3", SaveState::on_phone, bare_farm()));
  Scene entry = after_save("entry", "p3", SaveState::none);
  entry.session.stack.back() = {ScreenId::entry, "b1", "", {},
                                entry.session.last_save.record->text()};
  all.push_back(entry);
  Scene take_back = entry;
  take_back.name = "entry_take_back";
  take_back.session.asking = "take_back";
  all.push_back(take_back);
  Scene checked = scene("verdict_check", ScreenId::verdict, "l1");
  for (const auto& check : farm().block("b1")->check_counts) {
    checked.session.stack.back().tree = check.body.tree;
    checked.session.last_save.body = check.body;
  }
  checked.session.last_save.state = SaveState::on_phone;
  all.push_back(checked);
}

void add_lead(std::vector<Scene>& all) {
  all.push_back(scene("lead_home", ScreenId::home, "l1"));
  all.push_back(scene("worklist", ScreenId::worklist, "l1"));
  all.push_back(scene("agreement", ScreenId::agreement, "l1"));
  for (const char* person : {"p3", "p4"}) {
    Scene standing = scene(std::string("standing_") + person, ScreenId::standing, "l1");
    standing.session.stack.back().person = person;
    standing.session.reason_open = person == std::string("p4");
    all.push_back(standing);
  }
  Scene advice = scene("give_advice", ScreenId::give_advice, "l1");
  advice.session.stack.back().person = "p4";
  all.push_back(advice);
  all.push_back(scene("buds", ScreenId::buds, "l1"));
  Scene tally = scene("buds_tally", ScreenId::buds, "l1");
  tally.session.drafts.buds = BudDraft{};
  tally.session.drafts.buds->block = "b1";
  tally.session.drafts.buds->tree = {7, 20};
  tally.session.drafts.buds->counts[0] = 12;
  tally.session.drafts.buds->counts[1] = 5;
  tally.session.drafts.buds->steps.assign(17, BudKind::spur_floral);
  all.push_back(tally);
  all.push_back(scene("before_counts", ScreenId::before_counts, "l1"));
  all.push_back(scene("brief", ScreenId::brief, "l1"));
  all.push_back(scene("second_pass", ScreenId::second_pass, "l1"));
  all.push_back(scene("frost_none", ScreenId::frost, "l1"));
  Scene frost = scene("frost", ScreenId::frost, "l1");
  frost.season = &frost_farm();
  frost.session.fields["frost/steps"] = "aakkka";
  frost.session.fields["frost/low"] = "26";
  all.push_back(frost);
  add_times(all);
  Scene clusters = scene("count_clusters", ScreenId::count, "l1");
  clusters.session.drafts.count = draft(CountPurpose::clusters, "l1", 88);
  all.push_back(clusters);
}

void add_exercise(std::vector<Scene>& all) {
  all.push_back(scene("exercise_empty", ScreenId::exercise, "l1"));
  for (auto [name, screen, person] :
       {std::tuple{"exercise_turn", ScreenId::exercise, "p3"},
        std::tuple{"exercise_result", ScreenId::exercise, "l1"},
        std::tuple{"exercise_through", ScreenId::exercise, "p1"},
        std::tuple{"pruner_home_exercise", ScreenId::home, "p3"}}) {
    all.push_back({name, &exercise_farm(), at(screen, person, "b1")});
  }
  Scene turn{"count_exercise", &exercise_farm(), at(ScreenId::count, "p3", "b1")};
  turn.session.drafts.count = draft(CountPurpose::exercise, "p3", 96);
  turn.session.drafts.count->exercise = "e1";
  turn.session.drafts.count->round = 2;
  all.push_back(turn);
  Scene practice = scene("count_practice", ScreenId::count, "p3");
  practice.session.drafts.count = draft(CountPurpose::tag, "p3", 31);
  practice.session.drafts.count->practice = true;
  all.push_back(practice);
}

void add_manager(std::vector<Scene>& all) {
  all.push_back(scene("manager_home", ScreenId::home, "m1"));
  all.push_back(scene("review", ScreenId::review, "m1"));
  all.push_back(scene("block_map", ScreenId::block_map, "m1"));
  all.push_back(scene("numbers", ScreenId::numbers, "m1"));
  all.push_back(scene("history", ScreenId::history, "m1"));
  all.push_back(scene("share", ScreenId::share, "m1"));
  all.push_back(scene("set_up", ScreenId::set_up, "m1"));
  Scene edit = scene("edit_block", ScreenId::edit_block, "m1");
  edit.session.stack.back().block = "b1";
  all.push_back(edit);
  Scene wrong = edit;
  wrong.name = "edit_block_wrong";
  wrong.session.fields["block/b1/row_m"] = "0";
  wrong.session.fields["block/b1/floral"] = "140";
  wrong.session.fields["block/b1/stride"] = "94";
  wrong.session.fields["block/b1/green_tip"] = "30 March";
  wrong.session.fields["block/b1/name"] = "";
  wrong.session.fields_tried = true;
  all.push_back(wrong);
  all.push_back({"edit_block_new", &new_farm(), at(ScreenId::edit_block, "m", "")});
  Scene person = scene("edit_person", ScreenId::edit_person, "m1");
  person.session.stack.back().person = "p3";
  all.push_back(person);
  all.push_back(scene("rates", ScreenId::rates, "m1"));
  all.push_back(scene("varieties", ScreenId::varieties, "m1"));
  Scene variety = scene("edit_variety", ScreenId::edit_variety, "m1");
  variety.session.stack.back().record = "Honeycrisp";
  all.push_back(variety);
  Scene odd = variety;
  odd.name = "edit_variety_wrong";
  odd.session.fields["variety/honeycrisp/insurance"] = "9";
  odd.session.fields["variety/honeycrisp/high"] = "1";
  odd.session.fields_tried = true;
  all.push_back(odd);
  all.push_back(scene("harvest", ScreenId::harvest, "m1"));
  all.push_back(scene("return_bloom", ScreenId::return_bloom, "m1"));
  Scene fruits = scene("count_harvest", ScreenId::count, "m1");
  fruits.session.drafts.count = draft(CountPurpose::harvest, "m1", 0);
  fruits.session.drafts.count->way = CountWay::keypad;
  fruits.session.drafts.count->digits = "118";
  all.push_back(fruits);
}

void add_everywhere(std::vector<Scene>& all) {
  all.push_back(scene("settings", ScreenId::settings, "p3"));
  Scene sync = scene("sync", ScreenId::sync, "p3");
  sync.session.sync.link = Link::unreachable;
  sync.session.sync.unsent = 17;
  sync.session.sync.unsent_since_ms = thursday_ms() - 5 * 3600000;
  sync.session.sync.set_aside = 2;
  sync.session.sync.hearsay = 12;
  sync.session.sync.outside_role = 3;
  sync.session.sync.clock_off_minutes = 190;
  sync.session.sync.not_backed_up = 40;
  sync.session.storage.known = true;
  sync.session.storage.usage_bytes = 2400000;
  sync.session.storage.brought_back = 93;
  sync.session.update_version = "2";
  all.push_back(sync);
  for (const char* why : {"key_withdrawn", "key_unknown"}) {
    Scene refused = scene(std::string("sync_") + why, ScreenId::sync, "p3");
    refused.session.sync.link = Link::refused;
    refused.session.sync.key_refusal = why;
    refused.session.sync.hearsay = refused.session.sync.outside_role = 1;
    all.push_back(refused);
  }
  Scene alone = scene("sync_alone", ScreenId::sync, "p3");
  alone.session.storage.known = alone.session.storage.persisted = true;
  alone.session.sync.link = Link::never_paired;
  alone.session.storage.installed = true;
  alone.session.storage.private_window = true;
  alone.session.storage.lost = 93;
  alone.session.storage.writer = false;
  all.push_back(alone);
  all.push_back(scene("help", ScreenId::help, "p3"));
  all.push_back(scene("help_lead", ScreenId::help, "l1"));
  all.push_back(scene("help_manager", ScreenId::help, "m1"));
  all.push_back(scene("cautions", ScreenId::cautions, "p3"));
}

}  // namespace

std::string read_file(const std::string& path) {
  std::string text;
  if (std::FILE* file = std::fopen(path.c_str(), "rb")) {
    char buffer[65536];
    std::size_t n = 0;
    while ((n = std::fread(buffer, 1, sizeof buffer, file)) > 0) text.append(buffer, n);
    std::fclose(file);
  }
  return text;
}

const std::vector<std::string>& languages() {
  static const std::vector<std::string> codes = [] {
    std::vector<std::string> found;
    for (const char* code : {"en", "es", "fr"}) {
      auto language = widgets::Language::parse(
          code, read_file(test::in_project("assets/languages/" + std::string(code) + ".json")));
      if (!language) continue;
      widgets::add_language(*language);
      found.push_back(code);
    }
    widgets::choose_language("en");
    return found;
  }();
  return codes;
}

widgets::Fonts& fonts() {
  static widgets::Fonts& all = test::new_typefaces();
  return all;
}

std::int64_t thursday_ms() {
  std::int64_t at_ms = 0;
  base::parse_iso("2026-02-05T18:10", at_ms);  // ten past ten at the farm
  return at_ms;
}

const ledger::Season& farm() {
  static const ledger::Season season = read_farm(thursday_ms());
  return season;
}

void add(ledger::Season& season, const ledger::Body& body, const std::string& author,
         std::int64_t at_ms) {
  static std::uint64_t sequence = 0;
  ledger::Record record;
  record.id = {{1, 2}, ++sequence};
  record.stamp = {at_ms, 0};
  record.clock_ms = at_ms;
  record.author = author;
  record.body = body;
  const auto written = ledger::write_record(record);
  if (written) season.apply(*written);
}

const ledger::Season& exercise_farm() {
  static const ledger::Season season = [] {
    ledger::Season made = farm();
    // Invented: l1 counts a little more than p1 and p3, and p3 is less steady.
    const int counts[3][2][5] = {{{171, 148, 203, 160, 186}, {168, 150, 199, 163, 184}},
                                 {{164, 141, 197, 151, 180}, {160, 144, 193, 155, 176}},
                                 {{158, 149, 185, 160, 171}, {170, 139, 198, 0, 0}}};
    const char* const people[3] = {"l1", "p1", "p3"};
    for (int round = 0; round < 2; ++round) {
      for (int person = 0; person < 3; ++person) {
        for (int tree = 0; tree < 5; ++tree) {
          const int spurs = counts[person][round][tree];
          if (spurs == 0) continue;
          const int turn = (round * 3 + person) * 5 + tree;
          add(made, ledger::ExerciseCount{"e1", "b1", {12, 40 + 3 * tree}, round + 1, spurs},
              people[person], thursday_ms() - (40 - turn) * std::int64_t{60000});
        }
      }
    }
    return made;
  }();
  return season;
}

const ledger::Season& frost_farm() {
  static const ledger::Season season = [] {
    ledger::Season night = farm();
    for (int i = 0; i < 5; ++i) {
      const ledger::FrostSample sample{"b1", {2 + 3 * i, 9}, 57, 3, 27};
      add(night, sample, "l1", thursday_ms() - 60000 * (10 - i));
    }
    return night;
  }();
  return season;
}

const ledger::Season& new_farm() {
  static const ledger::Season season = [] {
    ledger::Season made;
    ledger::FarmSettings settings;
    settings.name = "North Slope";
    add(made, settings, "m", thursday_ms() - 1000);
    add(made, ledger::PersonSettings{{"m", "Robin", orchard::Role::manager, true}}, "m",
        thursday_ms() - 900);
    return made;
  }();
  return season;
}

const ledger::Season& no_farm() {
  static const ledger::Season season;
  return season;
}

Session at(ScreenId screen, const std::string& person, const std::string& block) {
  Session session;
  session.person = person;
  session.block = block;
  session.now_ms = thursday_ms();
  session.sync.link = Link::reached;
  session.sync.last_reached_ms = thursday_ms() - 300000;
  session.stack = {{ScreenId::home, {}, {}, {}, {}}, {screen, {}, {}, {}, {}}};
  if (screen == ScreenId::home) session.stack.pop_back();
  static const std::vector<orchard::Variety> varieties = [] {
    auto read = orchard::read_varieties(read_file(test::in_project("assets/varieties.json")));
    return read ? *read : std::vector<orchard::Variety>{};
  }();
  session.varieties = varieties;
  return session;
}

const std::vector<Scene>& scenes() {
  static const std::vector<Scene> all = [] {
    std::vector<Scene> made;
    add_first_run(made);
    add_pruner(made);
    add_verdicts(made);
    add_parts(made);
    add_lead(made);
    add_exercise(made);
    add_manager(made);
    add_rows(made);
    add_exchange(made);
    add_phones(made);
    add_everywhere(made);
    return made;
  }();
  return all;
}

}  // namespace nthtree::screens::stage
