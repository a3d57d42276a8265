// SPDX-License-Identifier: Apache-2.0
//
// One function a screen, each in a file of its name. Private to this folder; screens.cpp calls
// them by session.here().
#pragma once

namespace nthtree::screens {

class Scene;

void draw_opening(Scene& scene);
void draw_welcome(Scene& scene);
void draw_join_farm(Scene& scene);
void draw_start_farm(Scene& scene);
void draw_who(Scene& scene);
void draw_choose_block(Scene& scene);
void draw_pruner_home(Scene& scene);
void draw_lead_home(Scene& scene);
void draw_manager_home(Scene& scene);
void draw_count(Scene& scene);
void draw_what_counts(Scene& scene);
void draw_verdict(Scene& scene);
void draw_my_day(Scene& scene);
void draw_entry(Scene& scene);
void draw_row_done(Scene& scene);
void draw_no_tree(Scene& scene);
void draw_worklist(Scene& scene);
void draw_standing(Scene& scene);
void draw_give_advice(Scene& scene);
void draw_agreement(Scene& scene);
void draw_exercise(Scene& scene);
void draw_buds(Scene& scene);
void draw_before_counts(Scene& scene);
void draw_rows(Scene& scene);
void draw_brief(Scene& scene);
void draw_review(Scene& scene);
void draw_block_map(Scene& scene);
void draw_going_back(Scene& scene);
void draw_tomorrow(Scene& scene);
void draw_morning_word(Scene& scene);
void draw_numbers(Scene& scene);
void draw_history(Scene& scene);
void draw_share(Scene& scene);
void draw_hand_over(Scene& scene);
void draw_show_codes(Scene& scene);
void draw_receive(Scene& scene);
void draw_set_up(Scene& scene);
void draw_edit_block(Scene& scene);
void draw_planting(Scene& scene);
void draw_edit_person(Scene& scene);
void draw_rates(Scene& scene);
void draw_varieties(Scene& scene);
void draw_edit_variety(Scene& scene);
void draw_second_pass(Scene& scene);
void draw_harvest(Scene& scene);
void draw_return_bloom(Scene& scene);
void draw_settings(Scene& scene);
void draw_sync_page(Scene& scene);
void draw_help(Scene& scene);
void draw_cautions(Scene& scene);

}  // namespace nthtree::screens
