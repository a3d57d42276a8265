// SPDX-License-Identifier: Apache-2.0
//
// Some limbs of a tree, looks by eye, the lead's walk: by control, as a finger.
#include <algorithm>

#include <doctest/doctest.h>

#include "screens/parts/wording.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

using stage::Phone;

constexpr orchard::TreeAddress far_tree{30, 61};  // that nobody has counted by Thursday

Session at_a_tree() {
  Session session = stage::at(ScreenId::home, "p3", "b1");
  apply(session, stage::farm(), OpenCount{CountPurpose::part, "b1", far_tree});
  return session;
}

void type_limbs(Phone& phone, const std::string& digits) {
  for (const char digit : digits) phone.tap(std::string("keypad/") + digit);
}

// Taps every drawn limb so many times, then saves.
const ledger::PartCount* count_all(Phone& phone, int each) {
  const int limbs = phone.session.drafts.count->draw.drawn();
  for (int i = 0; i < limbs; ++i) {
    for (int n = 0; n < each + i; ++n) phone.tap("pad");
    phone.tap(i + 1 < limbs ? "next_limb" : "save");
  }
  const SaveRecords* save = phone.last<SaveRecords>();
  return save ? std::get_if<ledger::PartCount>(&save->bodies.front()) : nullptr;
}

}  // namespace

TEST_SUITE("screens: behaviour") {
  TEST_CASE("a pruner numbers the limbs, is told which, and counts them one after another") {
    Phone phone(at_a_tree(), stage::farm());
    CHECK(phone.shows("How many limbs has the tree?"));
    type_limbs(phone, "19");
    REQUIRE(phone.tap("draw"));
    const orchard::LimbDraw draw = phone.session.drafts.count->draw;
    CHECK(draw.limbs == 19);
    CHECK(phone.shows("Limb " + std::to_string(draw.start) + ", then every " +
                      std::to_string(draw.step)));
    const ledger::PartCount* part = count_all(phone, 6);
    REQUIRE(part);
    CHECK(part->counted.draw == draw);
    REQUIRE(static_cast<int>(part->counted.limbs.size()) == draw.drawn());
    CHECK(part->counted.limbs[0] == 6);
    CHECK(part->counted.limbs[1] == 7);
    CHECK(part->tree == far_tree);
    CHECK(phone.session.here().screen == ScreenId::part_told);
    CHECK(phone.shows("Write on the tag"));
    CHECK(phone.shows(whole(part->counted.on_tree())));
  }

  TEST_CASE("a tree of no limbs, or of two hundred, is refused in words and nothing is lost") {
    for (const char* wrong : {"0", "1", "200"}) {
      Phone phone(at_a_tree(), stage::farm());
      type_limbs(phone, wrong);
      CHECK(phone.shows("2 to 100 can be numbered"));
      phone.tap("draw");
      CHECK(phone.session.drafts.count->draw.limbs == 0);
      CHECK(phone.session.drafts.count->digits == wrong);
    }
  }

  TEST_CASE("undo goes back over a limb's end, and a call in the middle costs nothing") {
    Phone phone(at_a_tree(), stage::farm());
    type_limbs(phone, "20");
    phone.tap("draw");
    for (int n = 0; n < 3; ++n) phone.tap("pad");
    phone.tap("next_limb");
    phone.tap("undo");
    phone.tap("undo");
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{2});
    phone.tap("next_limb");
    phone.tap("pad");
    const auto kept = read_drafts(write_drafts(phone.session.drafts));
    REQUIRE(kept);
    REQUIRE(kept->count);
    CHECK(kept->count->purpose == CountPurpose::part);
    CHECK(kept->count->limbs == std::vector<int>{2, 1});
    CHECK(kept->count->draw == phone.session.drafts.count->draw);
  }

  TEST_CASE("a practice count of limbs made a record") {
    Session session = at_a_tree();
    session.preferences.practice = true;
    session.drafts.count->practice = true;
    Phone phone(session, stage::farm());
    type_limbs(phone, "20");
    phone.tap("draw");
    CHECK(count_all(phone, 6) == nullptr);
    CHECK(phone.session.here().screen == ScreenId::part_told);
    CHECK(phone.session.practised);
    CHECK(phone.shows("Write on the tag"));
  }

  TEST_CASE("where the plan is to count limbs, the whole tree is still one tap away") {
    Phone phone(at_a_tree(), stage::farm());
    REQUIRE(phone.tap("whole_tree"));
    CHECK(phone.session.drafts.count->purpose == CountPurpose::tag);
    CHECK(phone.session.drafts.count->tree == far_tree);
  }

  TEST_CASE("a score before the count leads back to it, with the seconds that a look took") {
    Phone phone(at_a_tree(), stage::farm());
    REQUIRE(phone.tap("look_first"));
    CHECK(phone.session.here().screen == ScreenId::walk);
    REQUIRE(phone.tap("see/6"));
    CHECK(phone.session.here().screen == ScreenId::count);
    Phone lead(stage::at(ScreenId::walk, "l1", "b1"), stage::farm());
    REQUIRE(lead.tap("whose/p4"));
    lead.tap("see/5");
    lead.session.now_ms += 7000;
    lead.tap("see/5");
    const auto* score = std::get_if<ledger::EyeScore>(&lead.last<SaveRecords>()->bodies.front());
    REQUIRE(score);
    CHECK(score->seconds == 7);
  }

  TEST_CASE("how strong the tree is is saved with its count, where it is asked") {
    const auto sized = std::find_if(stage::scenes().begin(), stage::scenes().end(),
                                    [](const auto& scene) { return scene.name == "size_count"; });
    REQUIRE(sized != stage::scenes().end());
    Session session = sized->session;
    session.drafts.count->size = -1;
    Phone phone(session, *sized->season);
    REQUIRE(phone.tap("size_weak"));
    for (int n = 0; n < 240; ++n) phone.tap("pad");
    phone.tap("save");
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    REQUIRE(save->bodies.size() == 2);
    const auto* size = std::get_if<ledger::TreeSize>(&save->bodies.back());
    REQUIRE(size);
    CHECK(size->size == ledger::SizeClass::weak);
    Phone elsewhere(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    elsewhere.tap("count");
    CHECK_FALSE(elsewhere.shows("This tree is"));
  }

  TEST_CASE("save is not offered before every drawn limb is counted") {
    Phone phone(at_a_tree(), stage::farm());
    type_limbs(phone, "16");
    phone.tap("draw");
    phone.tap("pad");
    CHECK_FALSE(phone.tap("save"));
    CHECK(phone.last<SaveRecords>() == nullptr);
  }

  TEST_CASE("limbs are numbered again after a question, and the tree's draw begins at the same place") {
    Phone phone(at_a_tree(), stage::farm());
    type_limbs(phone, "20");
    phone.tap("draw");
    const int start = phone.session.drafts.count->draw.start;
    phone.tap("pad");
    phone.tap("limbs");
    CHECK(phone.session.drafts.count->draw.limbs == 20);  // first the question
    REQUIRE(phone.tap("limbs/yes"));
    CHECK(phone.session.drafts.count->draw.limbs == 0);
    type_limbs(phone, "20");
    phone.tap("draw");
    CHECK(phone.session.drafts.count->draw.start == start);
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{0});
  }

  TEST_CASE("the lead counts the same limbs again without seeing what was found") {
    ledger::Season season = stage::farm();
    stage::add(season, ledger::PartCount{"b1", far_tree, {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}},
               "p3", stage::thursday_ms() - 60000);
    Session session = stage::at(ScreenId::worklist, "l1", "b1");
    Phone phone(session, season);
    REQUIRE(phone.tap("limbs/30-61"));
    CHECK(phone.session.drafts.count->draw == orchard::LimbDraw{19, 3, 4});
    CHECK_FALSE(phone.shows("205"));
    for (int i = 0; i < 5; ++i) {
      phone.tap("pad");
      phone.tap(i < 4 ? "next_limb" : "save");
    }
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* check = std::get_if<ledger::PartCheck>(&save->bodies.front());
    REQUIRE(check);
    CHECK(check->counted.limbs == std::vector<int>(5, 1));
  }

  TEST_CASE("limbs counted in a season that was closed were offered for a re-count in the next") {
    ledger::Season season = stage::farm();
    const std::int64_t before_ms = stage::thursday_ms() - 60000;
    stage::add(season, ledger::PartCount{"b1", far_tree, {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}},
               "p3", before_ms);
    const auto offered = [&] {
      return Phone(stage::at(ScreenId::worklist, "l1", "b1"), season).tap("limbs/30-61");
    };
    CHECK(offered());
    stage::add(season, ledger::SeasonClosed{2025}, "m1", before_ms + 1);
    CHECK_FALSE(offered());
  }

  TEST_CASE("a saved count of limbs is corrected limb by limb") {
    ledger::Season season = stage::farm();
    stage::add(season, ledger::PartCount{"b1", far_tree, {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}},
               "p3", stage::thursday_ms() - 60000);
    Session session = stage::at(ScreenId::entry, "p3", "b1");
    const ledger::RecordId id = season.block("b1")->part_counts.back().position.id;
    session.stack.back().record = id.text();
    Phone phone(session, season);
    REQUIRE(phone.type("entry/" + id.text() + "/7", "19"));
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    CHECK(save->replaces == id);
    const auto* part = std::get_if<ledger::PartCount>(&save->bodies.front());
    REQUIRE(part);
    CHECK(part->counted.limbs == std::vector<int>{12, 19, 14, 11, 8});
  }

  // A tree of which five limbs were counted in winter, and the lead at the second pass.
  ledger::Season counted_in_winter() {
    ledger::Season season = stage::farm();
    stage::add(season, ledger::PartCount{"b1", far_tree, {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}},
               "p3", stage::thursday_ms() - 60000);
    return season;
  }

  Session at_clusters(const ledger::Season& season) {
    Session session = stage::at(ScreenId::second_pass, "l1", "b1");
    apply(session, season, OpenCount{CountPurpose::part_clusters, "b1", far_tree});
    return session;
  }

  TEST_CASE("clusters are counted on the winter's limbs, then what has no flowers, in few taps") {
    const ledger::Season season = counted_in_winter();
    Phone phone(at_clusters(season), season);
    CHECK(phone.shows("Counted in winter: limbs 3 · 7 · 11 · 15 · 19 of 19"));
    REQUIRE(phone.tap("draw"));
    CHECK(phone.session.drafts.count->draw == orchard::LimbDraw{19, 3, 4});
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{0});
    for (int i = 0; i < 5; ++i) {
      for (int n = 0; n < 4 + i; ++n) phone.tap("pad");
      CHECK_FALSE(phone.tap("save"));
      phone.tap(i < 4 ? "next_limb" : "no_flowers");
    }
    CHECK(phone.shows("Spurs without flowers, on these limbs together"));
    phone.tap("keypad/1");
    phone.tap("keypad/2");
    REQUIRE(phone.tap("save"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* seen = std::get_if<ledger::PartClusters>(&save->bodies.front());
    REQUIRE(seen);
    CHECK(seen->counted.limbs == std::vector<int>{4, 5, 6, 7, 8});
    CHECK(seen->vegetative_spurs == 12);
    CHECK(phone.session.here().screen == ScreenId::second_pass);
  }

  TEST_CASE("other limbs of the tree are numbered at the second pass, and undo goes back over an end") {
    const ledger::Season season = counted_in_winter();
    Phone phone(at_clusters(season), season);
    type_limbs(phone, "16");
    REQUIRE(phone.tap("draw"));
    CHECK(phone.session.drafts.count->draw.limbs == 16);
    phone.tap("pad");
    phone.tap("next_limb");
    phone.tap("undo");
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{1});
    phone.tap("limbs");
    REQUIRE(phone.tap("limbs/yes"));
    CHECK(phone.shows("Counted in winter"));
    type_limbs(phone, "19");  // the same number: the same limbs
    phone.tap("draw");
    CHECK(phone.session.drafts.count->draw == orchard::LimbDraw{19, 3, 4});
  }

  TEST_CASE("clusters of a limb, half counted: a call, the wrong number, the way back cost nothing") {
    const ledger::Season season = counted_in_winter();
    Phone phone(at_clusters(season), season);
    phone.tap("draw");
    phone.tap("pad");
    phone.tap("second");
    phone.tap("keypad/7");
    phone.tap("next_limb");
    CHECK_FALSE(phone.session.drafts.count->on_second);
    const auto kept = read_drafts(write_drafts(phone.session.drafts));
    REQUIRE(kept);
    REQUIRE(kept->count);
    CHECK(kept->count->purpose == CountPurpose::part_clusters);
    CHECK(kept->count->second() == 7);
    // Another count asked for meanwhile: this one comes back first.
    apply(phone.session, season, OpenCount{CountPurpose::clusters, "b1", {1, 1}});
    CHECK(phone.session.drafts.count->purpose == CountPurpose::part_clusters);
    for (int i = 1; i < 4; ++i) phone.look(), phone.tap("next_limb");
    REQUIRE(phone.tap("save"));
    CHECK(std::get<ledger::PartClusters>(phone.last<SaveRecords>()->bodies.front())
              .vegetative_spurs == 7);
  }

  TEST_CASE("a saved count of clusters on limbs stands on the day's list and is corrected by limb") {
    ledger::Season season = counted_in_winter();
    stage::add(season, ledger::PartClusters{"b1", far_tree, {{19, 3, 4}, {4, 5, 6, 7, 8}, 60}, 12},
               "l1", stage::thursday_ms() - 50000);
    Session session = stage::at(ScreenId::entry, "l1", "b1");
    const ledger::RecordId id = season.block("b1")->part_clusters.back().position.id;
    session.stack.back().record = id.text();
    Phone phone(session, season);
    CHECK(phone.shows("Clusters, some limbs"));
    REQUIRE(phone.type("entry/" + id.text() + "/7", "15"));
    REQUIRE(phone.tap("keep"));
    const auto* seen = std::get_if<ledger::PartClusters>(&phone.last<SaveRecords>()->bodies.front());
    REQUIRE(seen);
    CHECK(seen->counted.limbs == std::vector<int>{4, 15, 6, 7, 8});
    CHECK(seen->vegetative_spurs == 12);
    // The next tree of the round is another one.
    Phone round(stage::at(ScreenId::second_pass, "l1", "b1"), season);
    REQUIRE(round.tap("limbs"));
    CHECK(round.last<OpenCount>()->purpose == CountPurpose::part_clusters);
    CHECK(round.last<OpenCount>()->tree != far_tree);
  }

  TEST_CASE("practice records nothing of clusters on limbs") {
    const ledger::Season season = counted_in_winter();
    Session session = stage::at(ScreenId::second_pass, "l1", "b1");
    session.preferences.practice = true;
    apply(session, season, OpenCount{CountPurpose::part_clusters, "b1", far_tree});
    Phone phone(session, season);
    phone.tap("draw");
    for (int i = 0; i < 4; ++i) phone.tap("next_limb");
    phone.tap("no_flowers");
    REQUIRE(phone.tap("save"));
    CHECK(phone.last<SaveRecords>() == nullptr);
    CHECK(phone.session.here().screen == ScreenId::second_pass);
  }

  TEST_CASE("clusters saved without a word on what has no flowers made every spur a flowering one") {
    const ledger::Season season = counted_in_winter();
    Phone limbs(at_clusters(season), season);
    limbs.tap("draw");
    for (int i = 0; i < 4; ++i) limbs.tap("next_limb");
    limbs.tap("no_flowers");
    limbs.tap("save");
    CHECK(limbs.last<SaveRecords>() == nullptr);
    CHECK(limbs.shows("Are there none?"));
    REQUIRE(limbs.tap("none/yes"));
    CHECK(limbs.last<SaveRecords>() != nullptr);
    for (const CountPurpose purpose : {CountPurpose::clusters, CountPurpose::return_bloom}) {
      Session session = stage::at(ScreenId::home, "l1", "b1");
      apply(session, season, OpenCount{purpose, "b1", far_tree});
      Phone whole(session, season);
      for (int n = 0; n < 90; ++n) whole.tap("pad");
      whole.tap("save");
      CHECK(whole.last<SaveRecords>() == nullptr);
      whole.tap("none/no");
      whole.tap("second");
      for (const char digit : std::string("150")) whole.tap(std::string("keypad/") + digit);
      whole.tap("save");
      if (whole.session.asking == "odd") whole.tap("odd/yes");
      CHECK(whole.last<SaveRecords>() != nullptr);
    }
  }

  TEST_CASE("the lead walks past trees of one pruner, one tap a tree") {
    Phone phone(stage::at(ScreenId::walk, "l1", "b1"), stage::farm());
    CHECK(phone.shows("Whose trees?"));
    REQUIRE(phone.tap("whose/p4"));
    REQUIRE(phone.tap("see/5"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* score = std::get_if<ledger::EyeScore>(&save->bodies.front());
    REQUIRE(score);
    CHECK(score->person == "p4");
    CHECK(score->spurs == 255);  // the target of the block
    CHECK(score->tree == orchard::TreeAddress{1, 1});
    phone.tap("see/7");
    const auto* next = std::get_if<ledger::EyeScore>(&phone.last<SaveRecords>()->bodies.front());
    REQUIRE(next);
    CHECK(next->tree == orchard::TreeAddress{1, 4});
  }

  TEST_CASE("a score of a tree that one has counted is refused in words") {
    const auto& counted = stage::farm().block("b1")->tag_counts.back();
    Session session = stage::at(ScreenId::walk, counted.author, "b1");
    session.stack.back().person = counted.author;
    session.stack.back().tree = counted.body.tree;
    Phone phone(session, stage::farm());
    CHECK(phone.shows("a look now would only repeat it"));
    phone.tap("see/5");
    CHECK(phone.last<SaveRecords>() == nullptr);
  }

  TEST_CASE("minutes that the farm planned become trees and limbs in one sentence") {
    ledger::Season season = stage::farm();
    ledger::FarmSettings farm = season.farm();
    farm.pruner_minutes_per_day = 10;
    farm.lead_minutes_per_day = 30;
    stage::add(season, farm, "m1", stage::thursday_ms() - 60000);
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), season);
    CHECK(phone.shows("trees a pruner and day"));
    CHECK(phone.shows("is told so in about"));
    // Where whole trees are counted quickly, the best share of the minutes is whole trees.
    const bool whole_trees = phone.shows("whole trees a pruner and day");
    REQUIRE(phone.tap("count"));
    CHECK(phone.session.drafts.count->purpose ==
          (whole_trees ? CountPurpose::tag : CountPurpose::part));
  }
}
