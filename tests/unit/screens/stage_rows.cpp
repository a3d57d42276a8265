// SPDX-License-Identifier: Apache-2.0
#include "unit/screens/stage.h"

namespace nthtree::screens::stage {
namespace {

constexpr std::int64_t minute_ms = 60000;

ledger::RowDone row(int number, const std::string& person) {
  ledger::RowDone done;
  done.block = "b1";
  done.row = number;
  done.person = person;
  return done;
}

// North and South: who works in the first block, and the others.
void add_gangs(ledger::Season& made, std::int64_t at_ms) {
  const std::map<std::string, orchard::Person> people(made.people().begin(), made.people().end());
  int nth = 0;
  for (auto [id, person] : people) {
    if (person.role != orchard::Role::pruner) continue;
    person.gang = ++nth <= 6 ? "North" : "South";
    add(made, ledger::PersonSettings{person}, "m1", at_ms + nth);
  }
}

Scene rows_scene(const std::string& name, ScreenId screen, const std::string& person) {
  return {name, &rows_farm(), at(screen, person, "b1")};
}

}  // namespace

const ledger::Season& rows_farm() {
  static const ledger::Season season = [] {
    ledger::Season made = farm();
    const std::int64_t start_ms = thursday_ms() - 300 * minute_ms;
    add_gangs(made, start_ms);
    ledger::FarmSettings settings = made.farm();
    settings.crowding_cost_per_1000_spurs = 3;
    add(made, settings, "m1", start_ms + 100);
    int minutes = 10;
    for (const int number : {1, 2, 3, 4, 5, 6}) {
      add(made, row(number, number < 4 ? "p1" : "p3"), "l1", start_ms + ++minutes * minute_ms);
    }
    add(made, row(6, "p4"), "p4", start_ms + ++minutes * minute_ms);
    ledger::RowDone left = row(7, "p4");
    left.side = ledger::RowSide::left;
    add(made, left, "p4", start_ms + 40 * minute_ms);
    using ledger::TreeKind;
    add(made, ledger::TreeState{"b1", {12, 48}, TreeKind::missing}, "p3",
        start_ms + 50 * minute_ms);
    add(made, ledger::TreeState{"b1", {12, 60}, TreeKind::pollinizer}, "l1",
        start_ms + 51 * minute_ms);
    return made;
  }();
  return season;
}

void add_rows(std::vector<Scene>& all) {
  all.push_back(rows_scene("rows_pruner_home", ScreenId::home, "p4"));
  Scene noted = rows_scene("rows_noted", ScreenId::home, "p3");
  noted.session.last_save = {SaveState::on_phone, ledger::RecordId{{1, 2}, 3}, {}, row(6, "")};
  all.push_back(noted);
  all.push_back(rows_scene("row_done", ScreenId::row_done, "p4"));
  Scene part = rows_scene("row_done_part", ScreenId::row_done, "p4");
  part.session.fields["row_done/part"] = "3";
  all.push_back(part);
  Scene again = part;
  again.name = "row_done_correct";
  again.session.stack.back().record =
      rows_farm().block("b1")->rows_done.back().position.id.text();
  all.push_back(again);
  Scene none = rows_scene("no_tree", ScreenId::no_tree, "p3");
  none.session.stack.back().tree = {12, 48};
  none.session.drafts.count = CountDraft{};
  none.session.drafts.count->block = "b1";
  none.session.drafts.count->tree = {12, 48};
  all.push_back(none);
  Scene empty = rows_scene("count_empty", ScreenId::count, "p3");
  empty.session.drafts.count = none.session.drafts.count;
  all.push_back(empty);
  all.push_back(rows_scene("rows", ScreenId::rows, "l1"));
  Scene chosen = rows_scene("rows_chosen", ScreenId::rows, "l1");
  chosen.session.fields["rows/person"] = "p5";
  chosen.session.fields["rows/list"] = "12-14, 20";
  all.push_back(chosen);
  Scene doubt = chosen;
  doubt.name = "rows_doubt";
  doubt.session.fields["rows/list"] = "1-2";
  doubt.session.asking = "row_doubt";
  all.push_back(doubt);
  Scene wrong = chosen;
  wrong.name = "rows_wrong";
  wrong.session.fields["rows/list"] = "12-14, 2000";
  all.push_back(wrong);
  all.push_back(rows_scene("rows_map", ScreenId::block_map, "m1"));
  all.push_back(rows_scene("going_back", ScreenId::going_back, "m1"));
  all.push_back({"going_back_none", &new_farm(), at(ScreenId::going_back, "m", "")});
  all.push_back(rows_scene("tomorrow", ScreenId::tomorrow, "m1"));
  Scene sent = rows_scene("tomorrow_sent", ScreenId::tomorrow, "m1");
  sent.session.fields["tomorrow/South"] = "b1";
  all.push_back(sent);
  all.push_back({"tomorrow_none", &new_farm(), at(ScreenId::tomorrow, "m", "")});
  all.push_back(rows_scene("morning_word", ScreenId::morning_word, "l1"));
  Scene named = rows_scene("morning_word_named", ScreenId::morning_word, "m1");
  named.session.fields["word/names"] = "1";
  named.session.fields["word/language"] = "1";
  all.push_back(named);
  Scene planting = rows_scene("planting", ScreenId::planting, "m1");
  planting.session.fields["planting/rows"] = "4-6";
  planting.session.fields["planting/trees"] = "x";
  all.push_back(planting);
  Scene map = rows_scene("planting_map", ScreenId::planting, "m1");
  map.session.fields["planting/by"] = "1";
  map.session.fields["planting/from"] = "10";
  map.session.fields["planting/chosen"] = "11-2 12-4";
  all.push_back(map);
}

}  // namespace nthtree::screens::stage
