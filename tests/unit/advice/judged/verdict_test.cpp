// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/verdict.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "advice/judged/remedy.h"
#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("without a count the verdict is to count, and says that nothing was counted") {
    SeasonBuilder farm;
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::count_more);
    CHECK(verdict.reason.id == "no_counts");
    CHECK(std::isfinite(verdict.over_target.value));
  }

  TEST_CASE("an unknown block has no target") {
    SeasonBuilder farm;
    CHECK(verdict_of(farm.season, "b9", "p1", farm.now_ms()).reason.id == "no_target");
  }

  TEST_CASE("one count near the target never says change") {
    for (int spurs = 140; spurs <= 240; spurs += 10) {
      SeasonBuilder farm;
      farm.tag("p1", 1, 20, spurs);
      const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
      CHECK(verdict.kind == VerdictKind::count_more);
      // Alone and never re-counted: more of the same would not tell.
      CHECK(remedy_of(verdict) == Remedy::recount_first);
      CHECK(verdict.expected_more_trees == 0);
    }
  }

  TEST_CASE("an undecided verdict says which way it leans, the other way for too few") {
    // Re-counted, so that counting is no hindrance.
    const auto leaning = [](const std::vector<int>& spurs) {
      SeasonBuilder farm;
      int tree = 4;
      for (const int s : spurs) {
        farm.tag("p1", 1, tree, s).check("lead", 1, tree, s);
        tree += 6;
      }
      return verdict_of(farm.season, "b1", "p1", farm.now_ms());
    };
    const Verdict over = leaning({262, 190, 245}), under = leaning({120, 170, 128});
    REQUIRE(over.kind == VerdictKind::count_more);
    CHECK(over.leans_harder);
    CHECK_FALSE(over.leans_lighter);
    CHECK(over.reason.id == "count_more_lean_harder");
    CHECK(over.expected_more_trees > 0);
    REQUIRE(under.kind == VerdictKind::count_more);
    CHECK(under.leans_lighter);
    CHECK_FALSE(under.leans_harder);
    CHECK(under.reason.id == "count_more_lean_lighter");
    const Verdict level = leaning({188, 180, 196});
    CHECK_FALSE(level.leans_harder);
    CHECK_FALSE(level.leans_lighter);
  }

  TEST_CASE("a level between on target and too few is told as neither") {
    for (const int counts : {4, 8, 14}) {
      SeasonBuilder farm;
      for (int i = 0; i < counts; ++i) {
        const int row = 1 + i / 8, tree = 4 + 6 * (i % 8), spurs = i % 2 ? 174 : 146;
        farm.tag("p1", row, tree, spurs).check("lead", row, tree, spurs);
      }
      CHECK(verdict_of(farm.season, "b1", "p1", farm.now_ms()).kind == VerdictKind::count_more);
    }
  }

  TEST_CASE("a first count at three times the target is enough to say harder") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 20, 560);
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::harder);
    CHECK(verdict.is_urgent);
    CHECK(verdict.reason.id == "harder_far");
    CHECK(verdict.over_target.value > 100);
    CHECK(verdict.hands.unit == HandUnit::spurs_on_each_limb);  // every limb carries too many
  }

  TEST_CASE("many counts far under the target say lighter once one was re-counted") {
    SeasonBuilder farm;
    farm.tags("p1", {110, 95, 120, 101, 105, 98, 112, 104});
    CHECK(remedy_of(verdict_of(farm.season, "b1", "p1", farm.now_ms())) ==
          Remedy::recount_first);
    farm.check("lead", 1, 5, 118);
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::lighter);
    CHECK(verdict.over_target.value < -30);
  }

  TEST_CASE("on target but counting half was told lighter, over 99 % sure, in 14 of 20 crews") {
    int told = 0, asked = 0, surest = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      nthtree::base::Random random(seed);
      SeasonBuilder farm;
      for (int tree = 0; tree < 8; ++tree) {
        for (int p = 0; p < 6; ++p) {
          const double seen = p == 0 ? 0.5 : 0.92;
          const auto spurs = random.negative_binomial(189, 16);
          farm.tag("p" + std::to_string(p), 1 + 2 * p, 3 + 11 * tree,
                   static_cast<int>(std::lround(seen * static_cast<double>(spurs))));
        }
      }
      const Verdict verdict = verdict_of(farm.season, "b1", "p0", farm.now_ms());
      told += verdict.kind != VerdictKind::count_more;
      // Two trees in six so far off bring the lead at once, who then re-counts.
      asked += remedy_of(verdict) == Remedy::recount_first ||
               remedy_of(verdict) == Remedy::call_lead;
      surest += verdict.sureness > 0.95;
    }
    CHECK(told == 0);
    CHECK(asked == 20);
    CHECK(surest == 0);
  }

  TEST_CASE("one re-count tells a poor counter from a hard pruner") {
    for (const bool counts_half : {true, false}) {
      SeasonBuilder farm;
      farm.tags("p1", {94, 101, 88, 97, 105, 92, 99, 90});
      for (int p = 2; p < 6; ++p) {
        farm.tags("p" + std::to_string(p), {180, 170, 190, 165, 175, 185}, 3 * p);
      }
      farm.check("lead", 1, 5, counts_half ? 186 : 102).check("lead", 1, 15, counts_half ? 205 : 108);
      const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
      CHECK((verdict.kind == VerdictKind::lighter) == !counts_half);
    }
  }

  TEST_CASE("a cap was printed as an estimate") {
    Standing standing;
    standing.has_target = true;
    standing.target = nthtree::orchard::Estimate::exactly(188);
    standing.counts = 12;
    standing.count_log_variance = 0.12;
    for (int step = -30; step <= 30; ++step) {
      standing.own = standing.log_ratio = {0.01 * step, 0.10};
      const Verdict verdict = judge(standing, Settings{});
      CHECK(verdict.expected_more_trees <= 99);
      if (verdict.kind != VerdictKind::count_more) continue;
      if (verdict.reason.id == "count_more_many") {
        CHECK(verdict.expected_more_trees == 0);
      } else {
        CHECK(verdict.expected_more_trees >= 1);
      }
    }
  }

  TEST_CASE("steady checked counts on the target say on target") {
    SeasonBuilder farm;
    const int spurs[] = {188, 170, 205, 181, 195, 190, 176, 200, 186, 193, 179, 191};
    int tree = 3;
    for (int s : spurs) {
      farm.tag("p1", 2, tree, s).check("lead", 2, tree, s);
      tree += 7;
    }
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::on_target);
    CHECK(verdict.sureness > 0.8);
  }

  TEST_CASE("a target known only loosely is never judged cocksure") {
    const int spurs[] = {240, 230, 250, 235, 228, 246, 239, 233};
    SeasonBuilder sure, loose;
    int tree = 3;
    for (int s : spurs) {
      sure.tag("p1", 2, tree, s).check("lead", 2, tree, s);
      loose.tag("p1", 2, tree, s).check("lead", 2, tree, s);
      tree += 7;
    }
    // Three trees whose branches disagree widely.
    using nthtree::ledger::BranchPosition;
    loose.buds(1, 1, BranchPosition::upper, 9, 1).buds(1, 1, BranchPosition::lower, 10, 1);
    loose.buds(5, 9, BranchPosition::upper, 8, 0).buds(5, 9, BranchPosition::lower, 4, 8);
    loose.buds(9, 2, BranchPosition::upper, 10, 0).buds(9, 2, BranchPosition::lower, 9, 0);
    const auto a = judge(standing_of(sure.season, "b1", "p1", sure.now_ms()), Settings{});
    const auto b = judge(standing_of(loose.season, "b1", "p1", loose.now_ms()), Settings{});
    CHECK(a.kind == VerdictKind::harder);
    CHECK(b.kind == VerdictKind::count_more);
  }

  TEST_CASE("counts crowded into one row are told with the word that it may be the row") {
    const auto has_note = [](const Verdict& verdict, const std::string& id) {
      return std::any_of(verdict.notes.begin(), verdict.notes.end(),
                         [&](const Reason& note) { return note.id == id; });
    };
    const std::vector<int> counts = {280, 300, 270, 310, 290, 260};
    SeasonBuilder crowded, spread_out;
    crowded.tags("p1", counts);
    int row = 1;
    for (int count : counts) spread_out.tag("p1", row++, 5, count);
    const Verdict one_row = verdict_of(crowded.season, "b1", "p1", crowded.now_ms());
    CHECK(one_row.kind == VerdictKind::harder);
    CHECK(has_note(one_row, "note_few_rows"));
    CHECK_FALSE(has_note(verdict_of(spread_out.season, "b1", "p1", spread_out.now_ms()),
                         "note_few_rows"));
    // Three rows of the same kind later the word is gone.
    for (int more = 2; more <= 7; ++more) crowded.tags("p1", counts, more);
    CHECK_FALSE(has_note(verdict_of(crowded.season, "b1", "p1", crowded.now_ms()),
                         "note_few_rows"));
  }

  TEST_CASE("more was said to be left than an unpruned tree carries: lighter by thousands") {
    SeasonBuilder farm;  // 188 are to be left
    for (int tree = 1; tree <= 6; ++tree) {
      farm.add(nthtree::ledger::BeforeCount{"b1", {30, tree}, 118 + tree % 3}, "lead");
    }
    for (int tree = 5; tree < 90; tree += 10) farm.tag("p1", 1, tree, 60).check("lead", 1, tree, 60);
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::lighter);
    CHECK(verdict.over_target.value == doctest::Approx(60 - 119).epsilon(0.03));
    CHECK(verdict.over_target.low >= -119);
    CHECK(verdict.reason.id == "all_stays");
    CHECK(verdict.reason.number("unpruned") == 119);

    SeasonBuilder all_left;  // who takes nothing is a third short, and not far off
    all_left.add(nthtree::ledger::BeforeCount{"b1", {30, 1}, 90}, "lead");
    for (int tree = 5; tree < 90; tree += 10) all_left.tag("p1", 1, tree, 90);
    const Standing standing =
        standing_of(all_left.season, "b1", "p1", all_left.now_ms());
    CHECK(standing.is_target_out_of_reach());
    CHECK(standing.far_under == 0);
    CHECK(verdict_of(all_left.season, "b1", "p1", all_left.now_ms()).over_target.value > -12);
  }

  TEST_CASE("advice from the first counts in a block says that little is known there yet") {
    const auto little_known = [](SeasonBuilder& farm) {
      const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
      CHECK(verdict.kind == VerdictKind::harder);
      return std::any_of(verdict.notes.begin(), verdict.notes.end(), [](const Reason& note) {
        return note.id == "note_little_known";
      });
    };
    const std::vector<int> counts = {270, 290, 255, 300, 280, 260, 285, 275};
    SeasonBuilder farm;
    farm.tags("p1", counts);
    CHECK(little_known(farm));
    for (const char* other : {"p2", "p3", "p4"}) farm.tags(other, counts, 5);
    CHECK_FALSE(little_known(farm));
    SeasonBuilder far;  // three times the target needs no second look
    far.tag("p1", 1, 20, 560);
    CHECK_FALSE(little_known(far));
  }

  TEST_CASE("costlier surplus makes harder come sooner and lighter later") {
    Standing standing;
    standing.has_target = true;
    standing.target = nthtree::orchard::Estimate::exactly(188);
    Settings cheap, dear;
    dear.too_many_cost_ratio = 4;
    int sooner = 0;
    for (int step = 0; step < 60; ++step) {
      standing.own = standing.log_ratio = {0.01 * step, 0.07};
      const bool with_cheap = judge(standing, cheap).kind == VerdictKind::harder;
      const bool with_dear = judge(standing, dear).kind == VerdictKind::harder;
      CHECK_FALSE((with_cheap && !with_dear));
      sooner += with_dear && !with_cheap;
      standing.own = standing.log_ratio = {-0.01 * step, 0.07};
      CHECK_FALSE((judge(standing, dear).kind == VerdictKind::lighter &&
                   judge(standing, cheap).kind != VerdictKind::lighter));
    }
    CHECK(sooner > 0);
  }

  TEST_CASE("the verdict does not depend on the order of arrival") {
    SeasonBuilder farm;
    farm.tags("p1", {260, 240, 275}).tags("p2", {180, 190}, 5).advice("p1", nthtree::ledger::Direction::harder, 60);
    const Verdict once = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    const Verdict again = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(once == again);
  }

  TEST_CASE("names of verdicts are stable") {
    CHECK(std::string(name_of(VerdictKind::harder)) == "harder");
    CHECK(std::string(name_of(VerdictKind::lighter)) == "lighter");
    CHECK(std::string(name_of(VerdictKind::on_target)) == "on_target");
    CHECK(std::string(name_of(VerdictKind::count_more)) == "count_more");
  }

  static const std::vector<int> steady = {188, 176, 195, 183, 190, 181, 193, 186, 179, 191,
                                   188, 184, 192, 187, 185, 190, 183, 189, 186, 188};

  TEST_CASE("two stripped trees stood beside \"just right\"") {
    SeasonBuilder farm;
    farm.tags("p1", steady);
    for (int tree : {3, 9, 17, 27, 39, 47}) farm.tag("p1", 9, tree, 187).check("lead", 9, tree, 188);
    CHECK(verdict_of(farm.season, "b1", "p1", farm.now_ms()).kind == VerdictKind::on_target);
    farm.tag("p1", 10, 7, 14);
    const Verdict one = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(one.kind == VerdictKind::count_more);
    CHECK(one.reason.id == "far_tree_one");
    CHECK_FALSE(one.calls_lead);
    farm.tag("p1", 10, 27, 18);
    const Verdict two = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(two.kind == VerdictKind::count_more);
    CHECK(two.reason.id == "far_trees");
    CHECK(two.calls_lead);
    CHECK(two.is_urgent);
    farm.advice("p1", nthtree::ledger::Direction::on_target, 0);
    CHECK_FALSE(verdict_of(farm.season, "b1", "p1", farm.now_ms()).calls_lead);
  }

  TEST_CASE("\"about 1 more\" was promised after a tree far off, which no count was foreseen to settle") {
    SeasonBuilder farm;
    farm.tags("p1", steady).tag("p1", 10, 7, 14);
    const Verdict one = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(one.reason.id == "far_tree_one");
    CHECK(one.expected_more_trees == 0);
    farm.tag("p1", 10, 27, 18);
    const Verdict two = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(two.reason.id == "far_trees");
    CHECK(two.expected_more_trees == 0);
  }

  TEST_CASE("one tree far off is forgotten after good ones, and a mended or re-counted one is no news") {
    SeasonBuilder farm;
    farm.tags("p1", steady).tag("p1", 10, 7, 14).tag("p1", 10, 17, 188);
    CHECK(verdict_of(farm.season, "b1", "p1", farm.now_ms()).reason.id != "far_tree_one");
    SeasonBuilder checked;
    checked.tags("p1", steady).tag("p1", 10, 7, 14).tag("p1", 10, 27, 18);
    checked.check("lead", 10, 7, 15);
    CHECK_FALSE(verdict_of(checked.season, "b1", "p1", checked.now_ms()).calls_lead);
  }

  TEST_CASE("far too many, tree after tree, is harder at once and no riddle") {
    SeasonBuilder farm;
    farm.tags("p1", {560, 540, 580});
    const Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(verdict.kind == VerdictKind::harder);
    CHECK(verdict.calls_lead);
  }
}
