// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/wording.h"

#include <doctest/doctest.h>

#include <set>

#include "screens/manager/day_report.h"
#include "screens/parts/form.h"
#include "unit/screens/stage.h"
#include "widgets/language.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

// The ids and numbers that advice/README.md lists.
const std::vector<advice::Reason> reasons = {
    {"harder_sure", {{"spurs", 24}, {"low", 10}, {"high", 40}, {"counts", 3}, {"sureness", 0.95}}},
    {"harder_far", {{"spurs", 240}, {"low", 10}, {"high", 400}, {"counts", 1}, {"times", 2.2}}},
    {"lighter_sure", {{"spurs", 24}}},
    {"lighter_far", {{"spurs", 24}}},
    {"all_stays", {{"unpruned", 510}, {"target", 3022}}},
    {"on_target_sure", {{"counts", 9}, {"over", 3}}},
    {"count_more_lean_harder", {{"spurs", 24}, {"counts", 2}, {"more", 4}}},
    {"count_more_lean_lighter", {{"spurs", 24}}},
    {"count_more_few", {{"counts", 1}, {"more", 5}}},
    {"count_more_target", {{"more_branches", 6}}},
    {"count_more_bias", {{"pairs", 0}}},
    {"when_short", {{"spurs", 150}, {"target", 188}}}, {"when_few_floral", {{"percent", 20}}},
    {"when_count_trees", {}}, {"when_biennial", {}}, {"when_cut_buds", {}},
    {"when_weak", {{"weak", 4}, {"trees", 6}}}, {"when_heavy", {{"spurs", 500}, {"target", 188}}},
    {"when_variety", {}}, {"when_no_hurry", {}},
    {"next_set_less", {{"percent", 40}}}, {"next_set_more", {{"percent", 90}}},
    {"next_set_as_thought", {}}, {"next_off_year", {}}, {"next_on_year", {}},
    {"note_two_kinds", {{"cv_percent", 40}}}, {"note_bare_trees", {}},
    {"note_neighbours_alike", {}}, {"note_rows_differ", {}}, {"note_few_rows", {}}, {"note_little_known", {}},
    {"far_tree_one", {}}, {"far_trees", {{"trees", 2}}}, {"attention_far_trees", {{"trees", 2}}},
    {"no_counts", {}},
    {"no_target", {}},
    {"tree_take_more", {{"over", 42}, {"spurs", 40}, {"target", 146}}},
    {"tree_fine", {{"over", 2}, {"target", 146}}},
    {"tree_short", {{"short", 30}, {"target", 146}}},
    {"next_first", {}}, {"next_new_pruner", {}}, {"next_surprise", {}}, {"next_after_advice", {}},
    {"next_undecided", {}}, {"next_steady", {}}, {"next_floor", {}},
    {"recount_no_pair", {}}, {"recount_doubtful_counter", {}}, {"recount_odd_number", {}},
    {"recount_undecided", {}}, {"recount_routine", {}},
    {"accept_yes", {}}, {"accept_over", {}}, {"accept_under", {}}, {"accept_unsure", {}},
    {"accept_few", {{"counts", 2}, {"needed", 6}}},
    {"attention_urgent", {{"spurs", 80}}}, {"attention_change", {{"spurs", -40}}},
    {"attention_drift", {{"change_percent", -18}}}, {"attention_counting", {{"ratio", 1.1}}},
    {"crew_more", {{"percent", 24}, {"others", 4}}}, {"crew_fewer", {{"percent", 24}, {"others", 4}}},
    {"crew_alike", {{"others", 4}}}, {"crew_open", {{"others", 4}}},
    {"crew_few_others", {{"others", 1}}}, {"attention_not_counted", {}},
    {"attention_spread", {{"change_percent", 30}}}, {"attention_quiet", {{"minutes", 95}}},
    {"attention_open", {{"counts", 3}}}, {"attention_none", {{"counts", 3}}},
    {"learn_none", {{"trees", 0}}}, {"learn_few", {{"trees", 3}}}, {"learn_ok", {{"trees", 30}}},
    {"caution_ladder", {}}, {"caution_tools", {}}, {"caution_cold", {}}, {"caution_alone", {}},
    {"caution_sprays", {}}, {"caution_local_rules", {}},
    {"brief_no_before_counts", {}}, {"brief_target_loose", {{"low", 120}, {"high", 190}}},
    {"brief_stride", {{"stride", 47}, {"places", 2}, {"row", 94}, {"better", 49}}},
    {"brief_stride_near", {{"stride", 95}, {"unseen", 52}, {"row", 94}, {"better", 97}}}};

}  // namespace

TEST_SUITE("screens: wording") {
  TEST_CASE("a chance was said to be 100 in 100") {
    stage::languages();
    widgets::choose_language("en");
    CHECK(reason_text({"back_pays", {{"chance", 1.0}}}) ==
          "In over 99 of 100 cases going back pays.");
    CHECK(reason_text({"back_pays", {{"chance", 0.0}}}) ==
          "In under 1 of 100 cases going back pays.");
    CHECK(reason_text({"back_pays", {{"chance", 0.8}}}) ==
          "In 80 of 100 cases going back pays.");
  }

  TEST_CASE("every advice reason is one plain sentence in every language") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      std::set<std::string> seen;
      for (const advice::Reason& reason : reasons) {
        const std::string text = reason_text(reason);
        CHECK_MESSAGE(text.find("⟦") == std::string::npos, language << " " << reason.id);
        CHECK_MESSAGE(text.find('{') == std::string::npos, language << " " << text);
        CHECK_MESSAGE((text.back() == '.'), language << " " << text);
        seen.insert(text);
      }
      CHECK(seen.size() > reasons.size() - 2);  // no two ids share a sentence by mistake
    }
    widgets::choose_language("en");
  }

  TEST_CASE("an open verdict is named by its remedy, a word of its own in every language") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      std::set<std::string> words;
      for (const char* why : {"count_more_few", "count_more_bias", "count_more_target"}) {
        advice::Verdict verdict;
        verdict.reason.id = why;
        words.insert(verdict_word(verdict));
      }
      CHECK_MESSAGE(words.size() == 3, language);
    }
    widgets::choose_language("en");
  }

  TEST_CASE("spurs are said to the nearest five from twenty up, as nobody cuts 41") {
    widgets::choose_language("en");
    CHECK(reason_text({"lighter_sure", {{"spurs", 41.3}}}) ==
          "Too few spurs are left: leave about 40 more on each tree.");
    CHECK(reason_text({"lighter_sure", {{"spurs", 13.4}}}) ==
          "Too few spurs are left: leave about 13 more on each tree.");
  }

  TEST_CASE("limbs are said whole and in halves, one limb in the singular") {
    const auto said = [](double limbs) {
      return hands_text({advice::HandUnit::limbs, limbs}, true);
    };
    widgets::choose_language("en");
    CHECK(said(1) == "about 1 limb more to take");
    CHECK(said(1.5) == "about 1½ limbs more to take");
    CHECK(said(3) == "about 3 limbs more to take");
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      CHECK(said(1) != said(2));
      CHECK(said(2.5).find("2½") != std::string::npos);
    }
    widgets::choose_language("en");
  }

  TEST_CASE("the drift and the attention are said without a minus sign") {
    widgets::choose_language("en");
    CHECK(reason_text({"attention_drift", {{"change_percent", -18}}}) ==
          "Has changed lately, by about 18 in 100.");
  }

  TEST_CASE("the day report escapes every name and tells the day's numbers") {
    widgets::choose_language("en");
    ledger::Season season = stage::farm();
    stage::add(season, ledger::PersonSettings{{"p3", "<b>Priya</b> & co", {}, true}}, "m1",
               stage::thursday_ms() - 10);
    const std::int64_t day = season.day_of(stage::thursday_ms());
    const std::string report =
        day_report(season, advice::day_review(season, day, stage::thursday_ms()));
    CHECK(report.find("&lt;b&gt;Priya&lt;/b&gt; &amp; co") != std::string::npos);
    CHECK(report.find("<b>") == std::string::npos);
    CHECK(report.find("Oxbow Lantern Farm") != std::string::npos);
    CHECK(report.find("<script") == std::string::npos);
  }

  TEST_CASE("time is said as people say it") {
    widgets::choose_language("en");
    const std::int64_t now = stage::thursday_ms();
    CHECK(when_text(now - 20000, now) == "just now");
    CHECK(when_text(now - 12 * 60000, now) == "12 min ago");
    CHECK(when_text(now - 5 * 3600000, now) == "5 h ago");
    CHECK(when_text(now - 35 * 3600000LL, now) == "35 h ago");
    CHECK(when_text(now - 45 * 3600000LL, now) == "2 days ago");
    CHECK(when_text(now - 72 * 3600000LL, now) == "3 days ago");
    CHECK(day_text(stage::farm().day_of(now), stage::farm().day_of(now)) == "Today");
    CHECK(time_text(stage::farm(), now) == "5 Feb 10:10");
  }

  TEST_CASE("each language parts thousands with a mark that is not its decimal mark") {
    REQUIRE(stage::languages().size() == 3);
    widgets::choose_language("fr");
    CHECK(widgets::number(48000) == "48\u00a0000");
    CHECK(widgets::number(48000.5, 1) == "48\u00a0000,5");
    widgets::choose_language("es");
    CHECK(widgets::number(48000.5, 1) == "48,000.5");
    widgets::choose_language("en");
    CHECK(widgets::number(48000.5, 1) == "48,000.5");
  }
}
