// SPDX-License-Identifier: Apache-2.0
#include "screens/screens.h"

#include "screens/each_screen.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {
namespace {

void draw_home(Frame& frame) {
  const orchard::Person* me = frame.me();
  if (!me) return draw_who(frame);
  if (me->role == orchard::Role::manager) return draw_manager_home(frame);
  if (!frame.season.block(frame.session.block)) return draw_choose_block(frame);
  if (me->role == orchard::Role::lead) return draw_lead_home(frame);
  draw_pruner_home(frame);
}

using Draw = void (*)(Frame&);

// The year beyond the winter's work.
Draw draw_of_year(ScreenId screen) {
  switch (screen) {
    case ScreenId::second_pass: return draw_second_pass;
    case ScreenId::harvest: return draw_harvest;
    case ScreenId::return_bloom: return draw_return_bloom;
    case ScreenId::frost: return draw_frost;
    case ScreenId::when_to_prune: return draw_when_to_prune;
    case ScreenId::years: return draw_years;
    case ScreenId::close_season: return draw_close_season;
    case ScreenId::papers: return draw_papers;
    case ScreenId::scan_tag: return draw_scan_tag;
    case ScreenId::tree: return draw_tree;
    case ScreenId::temperatures: return draw_temperatures;
    default: return draw_home;
  }
}

Draw draw_of(ScreenId screen) {
  switch (screen) {
    case ScreenId::opening: return draw_opening;
    case ScreenId::welcome: return draw_welcome;
    case ScreenId::join_farm: return draw_join_farm;
    case ScreenId::start_farm: return draw_start_farm;
    case ScreenId::who: return draw_who;
    case ScreenId::unlock: return draw_unlock;
    case ScreenId::choose_block: return draw_choose_block;
    case ScreenId::home: return draw_home;
    case ScreenId::count: return draw_count;
    case ScreenId::what_counts: return draw_what_counts;
    case ScreenId::verdict: return draw_verdict;
    case ScreenId::part_told: return draw_part_told;
    case ScreenId::walk: return draw_walk;
    case ScreenId::my_day: return draw_my_day;
    case ScreenId::entry: return draw_entry;
    case ScreenId::row_done: return draw_row_done;
    case ScreenId::no_tree: return draw_no_tree;
    case ScreenId::worklist: return draw_worklist;
    case ScreenId::standing: return draw_standing;
    case ScreenId::give_advice: return draw_give_advice;
    case ScreenId::agreement: return draw_agreement;
    case ScreenId::exercise: return draw_exercise;
    case ScreenId::buds: return draw_buds;
    case ScreenId::before_counts: return draw_before_counts;
    case ScreenId::rows: return draw_rows;
    case ScreenId::brief: return draw_brief;
    case ScreenId::review: return draw_review;
    case ScreenId::block_map: return draw_block_map;
    case ScreenId::going_back: return draw_going_back;
    case ScreenId::tomorrow: return draw_tomorrow;
    case ScreenId::morning_word: return draw_morning_word;
    case ScreenId::numbers: return draw_numbers;
    case ScreenId::history: return draw_history;
    case ScreenId::share: return draw_share;
    case ScreenId::hand_over: return draw_hand_over;
    case ScreenId::show_codes: return draw_show_codes;
    case ScreenId::receive: return draw_receive;
    case ScreenId::set_up: return draw_set_up;
    case ScreenId::edit_block: return draw_edit_block;
    case ScreenId::planting: return draw_planting;
    case ScreenId::edit_person: return draw_edit_person;
    case ScreenId::settings_made: return draw_settings_made;
    case ScreenId::phones: return draw_phones;
    case ScreenId::edit_phone: return draw_edit_phone;
    case ScreenId::rates: return draw_rates;
    case ScreenId::varieties: return draw_varieties;
    case ScreenId::edit_variety: return draw_edit_variety;
    case ScreenId::settings: return draw_settings;
    case ScreenId::sync: return draw_sync_page;
    case ScreenId::help: return draw_help;
    case ScreenId::cautions: return draw_cautions;
    default: return draw_of_year(screen);
  }
}

}  // namespace

Intents draw(widgets::Ui& ui, const ledger::Season& season, const Session& session,
             AdviceCache& cache) {
  Intents intents;
  Frame frame(ui, season, session, cache, intents);
  draw_of(session.here().screen)(frame);
  return intents;
}

}  // namespace nthtree::screens
