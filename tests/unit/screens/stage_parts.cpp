// SPDX-License-Identifier: Apache-2.0
// Some limbs of a tree, looks and the lead's walk, in every state worth looking at.
#include "unit/screens/stage.h"

namespace nthtree::screens::stage {
namespace {

constexpr orchard::TreeAddress tree{30, 61};
const ledger::LimbCounts counted{{19, 3, 4}, {12, 9, 14, 11, 8}, 92};

// The demo farm with minutes planned, two trees counted in part and a few looks.
const ledger::Season& part_farm() {
  static const ledger::Season season = [] {
    ledger::Season made = farm();
    ledger::FarmSettings settings = made.farm();
    settings.pruner_minutes_per_day = 10;
    settings.lead_minutes_per_day = 30;
    add(made, settings, "m1", thursday_ms() - 90000);
    add(made, ledger::EyeScore{"b1", tree, "", 240, 5}, "p3", thursday_ms() - 80000);
    add(made, ledger::PartCount{"b1", tree, counted}, "p3", thursday_ms() - 60000);
    return made;
  }();
  return season;
}

// The same farm where size tells: every tree that was counted is tapped by what was found.
const ledger::Season& sized_farm() {
  static const ledger::Season season = [] {
    ledger::Season made = farm();
    std::vector<ledger::TreeSize> sizes;
    for (const auto& entry : made.block("b1")->tag_counts) {
      const auto size = entry.body.spurs > 280   ? ledger::SizeClass::strong
                        : entry.body.spurs < 220 ? ledger::SizeClass::weak
                                                 : ledger::SizeClass::middling;
      sizes.push_back({"b1", entry.body.tree, size, {}});
    }
    for (const auto& size : sizes) add(made, size, "p3", thursday_ms() - 50000);
    return made;
  }();
  return season;
}

Scene part_scene(const std::string& name, ScreenId screen, const std::string& person) {
  return {name, &part_farm(), at(screen, person, "b1")};
}

CountDraft part_draft() {
  CountDraft draft;
  draft.purpose = CountPurpose::part;
  draft.way = CountWay::limbs;
  draft.person = "p3";
  draft.block = "b1";
  draft.tree = {30, 70};
  draft.started_ms = thursday_ms();
  return draft;
}

// At the second pass, on the winter's limbs.
void add_clusters(std::vector<Scene>& all) {
  Scene ask = part_scene("clusters_ask", ScreenId::count, "l1");
  ask.session.drafts.count = part_draft();
  ask.session.drafts.count->purpose = CountPurpose::part_clusters;
  ask.session.drafts.count->person = "l1";
  ask.session.drafts.count->tree = tree;
  all.push_back(ask);
  Scene limbs = ask;
  limbs.name = "clusters_limbs";
  limbs.session.drafts.count->draw = {19, 3, 4};
  limbs.session.drafts.count->limbs = {12, 9, 14, 11, 8};
  limbs.session.drafts.count->steps.assign(54, 1);
  all.push_back(limbs);
  Scene second = limbs;
  second.name = "clusters_second";
  second.session.drafts.count->on_second = true;
  second.session.drafts.count->second_digits = "12";
  all.push_back(second);
  Scene none = second;  // saved without the second number
  none.name = "clusters_none";
  none.session.drafts.count->second_digits.clear();
  none.session.asking = "none";
  all.push_back(none);
  static const ledger::Season seen = [] {
    ledger::Season made = part_farm();
    for (int i = 0; i < 6; ++i) {
      add(made, ledger::PartClusters{"b1", {3 + 4 * i, 20}, {{20, 2, 4}, {9 + i, 8, 12, 7, 10}, 60}, 9},
          "l1", thursday_ms() - 40000 + i);
      add(made, ledger::ClusterCount{"b1", {4 + 4 * i, 60}, 190 + 9 * i, 40}, "l1",
          thursday_ms() - 30000 + i);
    }
    return made;
  }();
  Scene pass{"second_pass_parts", &seen, at(ScreenId::second_pass, "l1", "b1")};
  all.push_back(pass);
  Scene entry{"clusters_entry", &seen, at(ScreenId::entry, "l1", "b1")};
  entry.session.stack.back().record = seen.block("b1")->part_clusters.back().position.id.text();
  all.push_back(entry);
}

}  // namespace

void add_parts(std::vector<Scene>& all) {
  Scene ask = part_scene("part_ask", ScreenId::count, "p3");
  ask.session.drafts.count = part_draft();
  ask.session.drafts.count->digits = "19";
  all.push_back(ask);
  Scene wrong = ask;
  wrong.name = "part_wrong";
  wrong.session.drafts.count->digits = "200";
  all.push_back(wrong);
  Scene limbs = ask;
  limbs.name = "part_limbs";
  limbs.session.drafts.count->digits.clear();
  limbs.session.drafts.count->draw = {19, 3, 4};
  limbs.session.drafts.count->limbs = {12, 9, 7};
  limbs.session.drafts.count->steps.assign(28, 1);
  all.push_back(limbs);
  Scene last = limbs;
  last.name = "part_last";
  last.session.drafts.count->limbs = {12, 9, 14, 11, 8};
  all.push_back(last);
  Scene again = limbs;
  again.name = "part_again";
  again.session.asking = "limbs";
  all.push_back(again);
  Scene told = part_scene("part_told", ScreenId::part_told, "p3");
  told.session.stack.back().tree = tree;
  told.session.last_save = {SaveState::on_phone, std::nullopt, "",
                            ledger::PartCount{"b1", tree, counted}};
  all.push_back(told);
  Scene checked = part_scene("part_checked", ScreenId::part_told, "l1");
  checked.session.stack.back().tree = tree;
  checked.session.last_save = {SaveState::on_phone, std::nullopt, "",
                               ledger::PartCheck{"b1", tree, counted}};
  all.push_back(checked);
  Scene entry = part_scene("part_entry", ScreenId::entry, "p3");
  entry.session.stack.back().record =
      part_farm().block("b1")->part_counts.back().position.id.text();
  all.push_back(entry);
  Scene own = part_scene("look_own", ScreenId::walk, "p3");
  own.session.stack.back().person = "p3";
  own.session.stack.back().tree = {30, 75};
  all.push_back(own);
  all.push_back(part_scene("walk_whose", ScreenId::walk, "l1"));
  Scene walk = part_scene("walk", ScreenId::walk, "l1");
  walk.session.fields["walk/person"] = "p4";
  walk.session.last_save = {SaveState::on_phone, std::nullopt, "",
                            ledger::EyeScore{"b1", {1, 1}, "p4", 255, 0}};
  all.push_back(walk);
  Scene sized = part_scene("size_count", ScreenId::count, "p3");
  sized.season = &sized_farm();
  sized.session.drafts.count = part_draft();
  sized.session.drafts.count->purpose = CountPurpose::tag;
  sized.session.drafts.count->way = CountWay::tap;
  sized.session.drafts.count->size = static_cast<int>(ledger::SizeClass::strong);
  all.push_back(sized);
  Scene sized_limbs = ask;
  sized_limbs.name = "size_limbs";
  sized_limbs.season = &sized_farm();
  all.push_back(sized_limbs);
  Scene sized_home = part_scene("size_home", ScreenId::home, "p3");
  sized_home.season = &sized_farm();
  all.push_back(sized_home);
  all.push_back(part_scene("pruner_home_plan", ScreenId::home, "p3"));
  all.push_back(part_scene("worklist_parts", ScreenId::worklist, "l1"));
  all.push_back(part_scene("rates_plan", ScreenId::rates, "m1"));
  add_clusters(all);
}

}  // namespace nthtree::screens::stage
