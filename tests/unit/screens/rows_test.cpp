// SPDX-License-Identifier: Apache-2.0
//
// Rows, going back and tomorrow, by control: the pruner's row end, the lead's page for a gang without
// phones, the tree that is not there, and what the manager's evening asks and answers.
#include <doctest/doctest.h>

#include "advice/known/planting.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

using stage::Phone;

ledger::RowDone only_row(const Phone& phone) {
  const SaveRecords* save = phone.last<SaveRecords>();
  if (!save || save->bodies.size() != 1) return {};
  const auto* done = std::get_if<ledger::RowDone>(&save->bodies.front());
  return done ? *done : ledger::RowDone{};
}

Phone on(ScreenId screen, const std::string& person) {
  return Phone(stage::at(screen, person, "b1"), stage::rows_farm());
}

}  // namespace

TEST_SUITE("screens: rows") {
  TEST_CASE("a row's end is one tap, and a second tap on the same place notes nothing") {
    Phone phone = on(ScreenId::home, "p5");
    REQUIRE(phone.tap("row_done"));
    const ledger::RowDone done = only_row(phone);
    CHECK(done.block == "b1");
    CHECK(done.row > 0);
    CHECK(done.person.empty());
    CHECK(phone.session.last_save.state == SaveState::writing);
    const std::size_t asked = phone.asked.size();
    phone.tap("row_done");
    for (std::size_t i = asked; i < phone.asked.size(); ++i) {
      CHECK_FALSE(std::holds_alternative<SaveRecords>(phone.asked[i]));
    }
  }

  TEST_CASE("the next row is offered, and what was noted can be corrected from where it was noted") {
    ledger::Season season = stage::rows_farm();
    ledger::RowDone done;
    done.block = "b1";
    done.row = 30;
    stage::add(season, done, "p5", stage::thursday_ms() - 60000);
    Session session = stage::at(ScreenId::home, "p5", "b1");
    session.last_save = {SaveState::on_phone,
                         season.block("b1")->rows_done.back().position.id, {}, done};
    Phone phone(session, season);
    CHECK(phone.shows("Row 31 done"));
    CHECK(phone.shows("Saved on this phone"));
    REQUIRE(phone.tap("row_back"));
    CHECK(phone.session.here().screen == ScreenId::row_done);
    REQUIRE(phone.tap("take_back"));
    REQUIRE(phone.tap("take_back/yes"));
    REQUIRE(phone.last<SaveRecords>());
    CHECK(std::holds_alternative<ledger::Withdrawal>(phone.last<SaveRecords>()->bodies.front()));
    CHECK(phone.last<SaveRecords>()->replaces == season.block("b1")->rows_done.back().position.id);
  }

  TEST_CASE("300 trees an hour are asked about once, and kept where the answer is yes") {
    ledger::Season season = stage::rows_farm();
    ledger::RowDone done;
    done.block = "b1";
    done.row = 30;
    stage::add(season, done, "p5", stage::thursday_ms() - 60000);
    Phone phone(stage::at(ScreenId::home, "p5", "b1"), season);
    REQUIRE(phone.tap("row_done"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK(phone.shows("was noted for"));
    REQUIRE(phone.tap("row_doubt/yes"));
    CHECK(only_row(phone).row == 31);
  }

  TEST_CASE("one side, and a part of a row, are noted as such") {
    Phone phone = on(ScreenId::home, "p5");
    REQUIRE(phone.tap("row_other"));
    REQUIRE(phone.type("row_done/row", "21"));
    REQUIRE(phone.tap("row_done/part/1"));
    REQUIRE(phone.tap("keep"));
    CHECK(only_row(phone).row == 21);
    CHECK(only_row(phone).side == ledger::RowSide::left);
    CHECK_FALSE(only_row(phone).last_tree);
    CHECK(phone.session.here().screen == ScreenId::home);
    phone.tap("row_other");
    phone.type("row_done/row", "22");
    phone.tap("row_done/part/3");
    REQUIRE(phone.type("row_done/last", "40"));
    REQUIRE(phone.tap("keep"));
    CHECK(only_row(phone).first_tree == 1);
    CHECK(only_row(phone).last_tree == 40);
  }

  TEST_CASE("practice notes no row") {
    Session session = stage::at(ScreenId::home, "p5", "b1");
    session.preferences.practice = true;
    CHECK_FALSE(Phone(session, stage::rows_farm()).tap("row_done"));
  }

  TEST_CASE("my day shows the rows, and one of them opens to be corrected") {
    Session session = stage::at(ScreenId::my_day, "p4", "b1");
    Phone phone(session, stage::rows_farm());
    CHECK(phone.shows("Row 7, left side pruned"));
    const auto& rows = stage::rows_farm().block("b1")->rows_done;
    REQUIRE(phone.tap("act/" + rows.back().position.id.text()));
    REQUIRE(phone.type("row_done/row", "8"));
    REQUIRE(phone.tap("keep"));
    CHECK(only_row(phone).row == 8);
    CHECK(phone.last<SaveRecords>()->replaces == rows.back().position.id);
  }

  TEST_CASE("the lead notes a gang's rows, typed and tapped, of the day they name") {
    Phone phone = on(ScreenId::home, "l1");
    REQUIRE(phone.tap("rows"));
    CHECK(phone.shows("Row 6 is noted twice"));
    REQUIRE(phone.tap("who/p5"));
    REQUIRE(phone.type("rows/list", "12-13"));
    REQUIRE(phone.tap("row/15"));
    CHECK(phone.session.fields["rows/list"] == "12–13, 15");
    REQUIRE(phone.tap("row/12"));
    REQUIRE(phone.type("rows/day", "2026-02-02"));
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    REQUIRE(save->bodies.size() == 2);
    const auto& first = std::get<ledger::RowDone>(save->bodies[0]);
    CHECK(first.row == 13);
    CHECK(first.person == "p5");
    CHECK(first.day == "2026-02-02");
    CHECK(phone.session.fields["rows/list"].empty());
  }

  TEST_CASE("a row the block has not is said beside the field, and a row twice is asked about") {
    Phone phone = on(ScreenId::rows, "l1");
    phone.tap("who/p5");
    phone.type("rows/list", "2000");
    CHECK(phone.shows("2000 is too many: 1 to"));
    phone.type("rows/list", "1, twelve");
    CHECK(phone.shows("“twelve” is no row"));
    phone.type("rows/list", "1");
    REQUIRE(phone.tap("keep"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK(phone.shows("Row 1 is noted twice"));
    REQUIRE(phone.tap("row_doubt/yes"));
    CHECK(only_row(phone).person == "p5");
  }

  TEST_CASE("no tree here is one tap and what stands there another; the tree instead is given") {
    Session session = stage::at(ScreenId::count, "p3", "b1");
    session.drafts.count = CountDraft{};
    session.drafts.count->person = "p3";
    session.drafts.count->block = "b1";
    session.drafts.count->tree = {20, 10};
    session.drafts.count->started_ms = session.now_ms;
    Phone phone(session, stage::rows_farm());
    REQUIRE(phone.tap("no_tree"));
    advice::Planting planting =
        advice::planting_of(*stage::rows_farm().block("b1"), session.now_ms);
    planting.set({20, 10}, ledger::TreeKind::missing);
    AdviceCache cache;
    const auto& tags = stage::rows_farm().block("b1")->tag_counts;
    orchard::TreeAddress from;
    for (const auto& entry : tags) {
      if (entry.author == "p3" && !entry.withdrawn) from = entry.body.tree;
    }
    const bool down =
        cache.next(stage::rows_farm(), "b1", "p3", from, session.now_ms).walks_down;
    const orchard::TreeAddress instead = planting.count_instead({20, 10}, down);
    CHECK(phone.shows("row 20, tree " + std::to_string(instead.tree)));
    REQUIRE(phone.tap("is/2"));
    const auto* state = std::get_if<ledger::TreeState>(&phone.last<SaveRecords>()->bodies.front());
    REQUIRE(state);
    CHECK(state->is == ledger::TreeKind::replant);
    CHECK(state->tree == orchard::TreeAddress{20, 10});
    CHECK(phone.session.here().screen == ScreenId::count);
    CHECK(phone.session.drafts.count->tree == instead);
    phone.tap("pad");  // after the first spur it is a count like any other
    CHECK_FALSE(phone.tap("no_tree"));
  }

  TEST_CASE("going back says the rows, the reasons and the hours, and where a rate is missing") {
    Phone phone = on(ScreenId::going_back, "m1");
    CHECK(phone.shows("Minutes a tree"));
    CHECK(phone.shows("Why"));
    CHECK_FALSE(phone.shows("No wage is set"));
    ledger::Season poor = stage::rows_farm();
    ledger::FarmSettings farm = poor.farm();
    farm.wage_per_hour = 0;
    stage::add(poor, farm, "m1", stage::thursday_ms() - 1000);
    Phone without(stage::at(ScreenId::going_back, "m1", "b1"), poor);
    CHECK(without.shows("No wage is set"));
    REQUIRE(without.tap("rates/action"));
    CHECK(without.session.here().screen == ScreenId::rates);
    REQUIRE(without.type("farm/crowding", "4"));
    REQUIRE(without.tap("keep"));
    const auto* kept = std::get_if<ledger::FarmSettings>(&without.last<SaveRecords>()->bodies[0]);
    REQUIRE(kept);
    CHECK(kept->crowding_cost_per_1000_spurs == 4);
  }

  TEST_CASE("a gang is moved by one tap, the dates answer, and the proposal comes back") {
    Phone phone = on(ScreenId::tomorrow, "m1");
    AdviceCache cache;
    const auto proposed = cache.tomorrow(stage::rows_farm(), {}, stage::thursday_ms());
    REQUIRE(proposed.gangs.size() == 2);
    CHECK(phone.shows("North"));
    const std::string& to = proposed.blocks.back().block;
    REQUIRE(proposed.gangs[0].block != to);
    REQUIRE(phone.tap("to/North/" + to));
    CHECK(phone.shows("as you changed it"));
    const auto other = cache.tomorrow(
        stage::rows_farm(), {{"North", to}, {"South", proposed.gangs[1].block}},
        stage::thursday_ms());
    CHECK(other.gangs[0].block == to);
    CHECK(phone.shows(widgets::number(other.trees_late)));
    REQUIRE(phone.tap("as_proposed"));
    CHECK_FALSE(phone.shows("as you changed it"));
  }

  TEST_CASE("the morning's word names nobody unless asked, and speaks the gang's language") {
    Phone phone = on(ScreenId::morning_word, "l1");
    const auto sent = [&] {
      REQUIRE(phone.tap("send"));
      return phone.last<SendText>()->text;
    };
    const std::string plain = sent();
    CHECK(plain.find("North, ") == 0);
    CHECK(plain.find("spurs on each tree") != std::string::npos);
    CHECK(plain.find("Ladder") != std::string::npos);
    for (const auto& held : stage::rows_farm().people()) {
      CHECK_MESSAGE(plain.find(held.second.name) == std::string::npos, held.second.name);
    }
    REQUIRE(phone.tap("word/names"));
    const std::string named = sent();
    bool anybody = false;
    for (const auto& [id, person] : stage::rows_farm().people()) {
      anybody = anybody || named.find(person.name) != std::string::npos;
    }
    CHECK(anybody);
    REQUIRE(phone.tap("word/language/1"));
    CHECK(sent().find("Escalera") != std::string::npos);
    CHECK(widgets::current_language() == "en");
    CHECK(phone.shows("Send or copy"));
    REQUIRE(phone.tap("print"));
    CHECK(phone.last<PrintReport>()->html.find("<h1>") != std::string::npos);
  }

  TEST_CASE("set-up takes in what does not bear, row by row, and says how many are left to prune") {
    Phone phone = on(ScreenId::planting, "m1");
    const auto& block = *stage::rows_farm().block("b1");
    CHECK(phone.shows(widgets::number(block.block->trees() - 2)));
    phone.type("planting/rows", "4-5");
    phone.type("planting/trees", "1, 90");
    phone.tap("planting/kind/3");
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    CHECK(save->bodies.size() >= 2);
    CHECK(std::get<ledger::TreeState>(save->bodies[0]).is == ledger::TreeKind::pollinizer);
    REQUIRE(phone.tap("tree/12-48"));
    REQUIRE(phone.tap("is/0"));
    CHECK(std::get<ledger::TreeState>(phone.last<SaveRecords>()->bodies[0]).is ==
          ledger::TreeKind::bearing);
  }

  TEST_CASE("a gap is tapped on the map, a slip is taken out by a second tap, and both are kept") {
    Phone phone = on(ScreenId::planting, "m1");
    REQUIRE(phone.tap("planting/by/1"));
    REQUIRE(phone.tap("planting/kind/open"));
    REQUIRE(phone.tap("planting/kind/2"));
    CHECK(phone.shows("Replanted, too young to bear +"));
    CHECK_FALSE(phone.shows("Pollinizer *"));  // the choice closes the list
    CHECK(phone.shows("Row 4, tree 2: A bearing tree"));
    REQUIRE(phone.tap("at/4-2"));
    REQUIRE(phone.tap("at/3-1"));
    REQUIRE(phone.tap("at/1-3"));
    REQUIRE(phone.tap("at/1-3"));
    CHECK(phone.shows("2 trees chosen"));
    REQUIRE(phone.tap("from/more"));
    CHECK_FALSE(phone.shows("Row 4, tree 2:"));
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    REQUIRE(save->bodies.size() == 2);
    const auto& first = std::get<ledger::TreeState>(save->bodies[0]);
    CHECK(first.tree == orchard::TreeAddress{3, 1});
    CHECK(first.is == ledger::TreeKind::replant);
    CHECK(std::get<ledger::TreeState>(save->bodies[1]).tree == orchard::TreeAddress{4, 2});
    CHECK(phone.shows("0 trees chosen"));
  }

  TEST_CASE("what is no tree number was called no row") {
    Phone phone = on(ScreenId::planting, "m1");
    phone.type("planting/trees", "x");
    CHECK(phone.shows("“x” is no tree"));
    CHECK_FALSE(phone.shows("is no row"));
  }

  TEST_CASE("a person is put into a gang") {
    Session session = stage::at(ScreenId::edit_person, "m1", "b1");
    session.stack.back().person = "p1";
    Phone phone(session, stage::rows_farm());
    CHECK(phone.shows("So far: North, South"));
    REQUIRE(phone.type("person/p1/gang", "Ladders"));
    REQUIRE(phone.tap("keep"));
    const auto* kept = std::get_if<ledger::PersonSettings>(&phone.last<SaveRecords>()->bodies[0]);
    REQUIRE(kept);
    CHECK(kept->person.gang == "Ladders");
  }

  TEST_CASE("the map says of each row who, when and how sure, inferred ones marked") {
    Session session = stage::at(ScreenId::block_map, "m1", "b1");
    Phone phone(session, stage::rows_farm(), {.width = 1440, .height = 900});
    CHECK(phone.shows("inferred"));
    CHECK(phone.shows("noted"));
    CHECK(phone.shows("Row 7, left side"));
    CHECK(Phone(session, stage::rows_farm()).shows("of 100 trees"));
  }
}
