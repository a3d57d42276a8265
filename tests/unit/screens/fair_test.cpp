// SPDX-License-Identifier: Apache-2.0
//
// What README promises people: nobody is ranked by speed, and a pruner's phone shows that pruner's
// own figures alone.
#include <doctest/doctest.h>

#include "advice/review/day_review.h"
#include "screens/manager/day_report.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

const widgets::HeadlessSetting office_desk{.width = 1440, .height = 900};

// The people's part of a day's paper.
std::string people_on_paper() {
  const ledger::Season& season = stage::farm();
  const std::int64_t day = season.day_of(stage::thursday_ms());
  const std::string html =
      day_report(season, advice::day_review(season, day, stage::thursday_ms()));
  const std::size_t from = html.find("<h2>" + widgets::tr("review.people") + "</h2>");
  return from == std::string::npos ? "" : html.substr(from, html.find("</table>", from) - from);
}

}  // namespace

TEST_SUITE("screens: fair") {
  TEST_CASE("the office's table of people could be put in order by trees an hour") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm(), office_desk);
    REQUIRE(phone.tap("people/sort/2"));  // counts: how much is known of each
    CHECK_FALSE(phone.tap("people/sort/3"));
    CHECK_FALSE(phone.tap("people/sort/4"));
    bool has_trees = false;
    for (int column = 0; column < 9; ++column) {
      const auto* head = phone.frame().find("people/head/" + std::to_string(column));
      if (head) has_trees = has_trees || head->label == widgets::tr("review.trees");
      if (head) CHECK(head->label != widgets::tr("review.rate"));
    }
    CHECK(has_trees);
  }

  TEST_CASE("the day's paper told each one's trees an hour") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm());
    const std::string people = people_on_paper();
    REQUIRE(people.find("Priya") != std::string::npos);
    CHECK(people.find(widgets::tr("review.rate")) == std::string::npos);
  }

  TEST_CASE("a pruner's phone shows the pruner's own figures alone") {
    for (const ScreenId screen : {ScreenId::home, ScreenId::my_day, ScreenId::verdict,
                                  ScreenId::brief, ScreenId::hand_over}) {
      Phone phone(stage::at(screen, "p3", "b1"), stage::farm());
      CHECK(phone.frame().controls().size() > 3);
      for (const auto& known : stage::farm().people()) {
        const orchard::Person& person = known.second;
        const bool is_pruner = person.role == orchard::Role::pruner && person.id != "p3";
        if (is_pruner) CHECK_FALSE_MESSAGE(phone.shows(person.name), person.name);
      }
      CHECK_FALSE(phone.shows(widgets::tr("review.rate")));
    }
    // Nor is there a way from there to the papers that have names.
    Phone home(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    CHECK_FALSE(home.tap("papers"));
    CHECK_FALSE(home.tap("review"));
  }
}
