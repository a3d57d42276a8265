// SPDX-License-Identifier: Apache-2.0
//
// One function a screen, each in a file of its name. Private to this folder; screens.cpp calls
// them by session.here().
#pragma once

namespace nthtree::screens {

class Frame;

void draw_opening(Frame& frame);
void draw_welcome(Frame& frame);
void draw_join_farm(Frame& frame);
void draw_start_farm(Frame& frame);
void draw_who(Frame& frame);
void draw_unlock(Frame& frame);
void draw_pin(Frame& frame);
void draw_choose_block(Frame& frame);
void draw_pruner_home(Frame& frame);
void draw_lead_home(Frame& frame);
void draw_manager_home(Frame& frame);
void draw_count(Frame& frame);
void draw_what_counts(Frame& frame);
void draw_verdict(Frame& frame);
void draw_part_count(Frame& frame);  // draw_count's, for some limbs of a tree
void draw_part_told(Frame& frame);
void draw_walk(Frame& frame);
void draw_my_day(Frame& frame);
void draw_entry(Frame& frame);
void draw_row_done(Frame& frame);
void draw_no_tree(Frame& frame);
void draw_worklist(Frame& frame);
void draw_standing(Frame& frame);
void draw_give_advice(Frame& frame);
void draw_agreement(Frame& frame);
void draw_exercise(Frame& frame);
void draw_buds(Frame& frame);
void draw_before_counts(Frame& frame);
void draw_rows(Frame& frame);
void draw_brief(Frame& frame);
void draw_review(Frame& frame);
void draw_block_map(Frame& frame);
void draw_going_back(Frame& frame);
void draw_tomorrow(Frame& frame);
void draw_morning_word(Frame& frame);
void draw_numbers(Frame& frame);
void draw_history(Frame& frame);
void draw_share(Frame& frame);
void draw_hand_over(Frame& frame);
void draw_show_codes(Frame& frame);
void draw_receive(Frame& frame);
void draw_set_up(Frame& frame);
void draw_edit_block(Frame& frame);
void draw_planting(Frame& frame);
void draw_edit_person(Frame& frame);
void draw_settings_made(Frame& frame);
void draw_phones(Frame& frame);
void draw_edit_phone(Frame& frame);
void draw_phone_code(Frame& frame);
void draw_rates(Frame& frame);
void draw_varieties(Frame& frame);
void draw_edit_variety(Frame& frame);
void draw_second_pass(Frame& frame);
void draw_frost(Frame& frame);
void draw_when_to_prune(Frame& frame);
void draw_years(Frame& frame);
void draw_close_season(Frame& frame);
void draw_papers(Frame& frame);
void draw_scan_tag(Frame& frame);
void draw_tree(Frame& frame);
void draw_temperatures(Frame& frame);
void draw_harvest(Frame& frame);
void draw_return_bloom(Frame& frame);
void draw_settings(Frame& frame);
void draw_sync_page(Frame& frame);
void draw_help(Frame& frame);
void draw_cautions(Frame& frame);

}  // namespace nthtree::screens
