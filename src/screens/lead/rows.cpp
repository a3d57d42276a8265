// SPDX-License-Identifier: Apache-2.0
// Rows × people, for a gang without phones: who, which rows, which day, all on one page. What
// cannot be so is said in words, asked once, and kept.
#include <algorithm>

#include "orchard/row_list.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr const char* person_field = "rows/person";
constexpr const char* rows_field = "rows/list";

// By gang, those without one last; in a gang by name.
std::vector<const orchard::Person*> pruners_of(const Frame& frame) {
  std::vector<const orchard::Person*> list;
  for (const auto& [id, person] : frame.season.people()) {
    if (person.active && person.role == orchard::Role::pruner) list.push_back(&person);
  }
  std::stable_sort(list.begin(), list.end(), [](const auto* a, const auto* b) {
    if (a->gang.empty() != b->gang.empty()) return b->gang.empty();
    return std::tie(a->gang, a->name) < std::tie(b->gang, b->name);
  });
  return list;
}

std::string rows_of_day(const advice::RowsPruned& rows, const std::string& person,
                        const ledger::Season& season, std::int64_t day) {
  std::vector<int> list;
  for (const advice::RowPart& part : rows.parts) {
    if (part.person != person || part.inferred || season.day_of(part.at_ms) != day) continue;
    if (list.empty() || list.back() != part.row) list.push_back(part.row);
  }
  return orchard::row_list_text(list);
}

void choose_person(Frame& frame, const advice::RowsPruned& rows) {
  heading(frame.ui, tr("rows.who"));
  std::string gang;
  for (const orchard::Person* person : pruners_of(frame)) {
    if (person->gang != gang) strong_line(frame.ui, gang = person->gang);
    const std::string done = rows_of_day(rows, person->id, frame.season, frame.today());
    if (choice_row(frame.ui, {.id = "who/" + person->id,
                              .label = person_text(frame.season, person->id),
                              .detail = done.empty() ? "" : tr("rows.today", {{"rows", done}}),
                              .glyph = Glyph::person})) {
      frame.want(SetField{person_field, person->id});
    }
  }
}

// What each row is now: free, chosen, or pruned by whom.
class RowGrid {
 public:
  RowGrid(Frame& frame, const orchard::Block& block, const advice::RowsPruned& rows,
          std::vector<int> chosen)
      : frame_(frame), block_(block), chosen_(std::move(chosen)) {
    for (const advice::RowPart& part : rows.parts) {
      if (!part.inferred) pruned_by_[part.row] = part.person;
    }
  }
  void draw() {
    // As many side by side as a glove can tell apart and the longest label fits.
    const widgets::Ui& ui = frame_.ui;
    const float label = frame_.ui.fonts().measure(widgets::Type::strong, "000 ✓").w + 26;
    const float pitch = std::max(ui.theme().target, label) + gap;
    const int across = std::max(1, static_cast<int>((ui.width() + gap) / pitch));
    for (int first = 1; first <= block_.rows; first += across) {
      frame_.ui.open_row(std::vector<float>(static_cast<std::size_t>(across), 1.0f), gap);
      for (int row = first; row < first + across; ++row) {
        if (row > first) frame_.ui.next_cell();
        if (row <= block_.rows) cell(row);
      }
      frame_.ui.close_row();
    }
  }

 private:
  static constexpr float gap = 6;

  void cell(int row) {
    const bool chosen = std::find(chosen_.begin(), chosen_.end(), row) != chosen_.end();
    const auto pruned = pruned_by_.find(row);
    const bool done = pruned != pruned_by_.end();
    const std::string mark = chosen ? " ✓" : done ? " •" : "";
    const std::string hint =
        done ? tr("rows.pruned_by", {{"name", person_text(frame_.season, pruned->second)}}) : "";
    if (button(frame_.ui, {.id = "row/" + std::to_string(row),
                           .label = std::to_string(row) + mark,
                           .kind = chosen ? Kind::primary : Kind::quiet,
                           .hint = hint})) {
      toggle(row, chosen);
    }
  }
  void toggle(int row, bool chosen) {
    std::vector<int> rows = chosen_;
    if (chosen) {
      rows.erase(std::find(rows.begin(), rows.end(), row));
    } else {
      rows.insert(std::upper_bound(rows.begin(), rows.end(), row), row);
    }
    frame_.want(SetField{rows_field, orchard::row_list_text(rows)});
  }

  Frame& frame_;
  const orchard::Block& block_;
  std::vector<int> chosen_;
  std::map<int, std::string> pruned_by_;
};

void doubts(Frame& frame, const advice::RowsPruned& rows) {
  if (rows.doubts.empty()) return;
  heading(frame.ui, tr("rows.doubts"));
  int position = 0;
  for (const advice::RowDoubt& doubt : rows.doubts) {
    notice(frame.ui, {.id = "doubt/" + std::to_string(++position), .tone = Tone::caution,
                      .text = row_doubt_text(frame.season, doubt)});
  }
  small_print(frame.ui, tr("rows.doubts_text"));
}

// Each entry of the day, to correct or take back.
void entries(Frame& frame, const ledger::BlockSeason& block) {
  bool any = false;
  for (const auto& entry : ledger::current_newest_first(block.rows_done)) {
    if (frame.season.day_of(entry.at_ms()) != frame.today()) break;
    if (!any) heading(frame.ui, tr("rows.entered"));
    any = true;
    const std::string& person = entry.body.person.empty() ? entry.author : entry.body.person;
    if (choice_row(frame.ui, {.id = "entry/" + entry.position.id.text(),
                              .label = row_text(entry.body) + ", " +
                                       person_text(frame.season, person),
                              .detail = clock_text(frame.season, entry.at_ms())})) {
      frame.want(Go{Stop{ScreenId::row_done, block.id, {}, {}, entry.position.id.text()}});
    }
  }
}

void person_row(Frame& frame, const std::string& person) {
  if (choice_row(frame.ui, {.id = "who", .label = person_text(frame.season, person),
                            .trailing = tr("change"), .arrow = false, .glyph = Glyph::person})) {
    frame.want(SetField{person_field, ""});
  }
}

RowsToKeep rows_to_keep(const Frame& frame, const std::vector<int>& chosen,
                        const std::string& person, const std::string& day) {
  RowsToKeep keep;
  for (const int row : chosen) {
    ledger::RowDone done;
    done.block = frame.block_id();
    done.row = row;
    done.person = person;
    done.day = day;
    keep.rows.push_back(done);
  }
  return keep;
}

void draw_for_person(Frame& frame, const ledger::BlockSeason& block,
                     const advice::RowsPruned& rows, const std::string& person) {
  std::vector<int> chosen;
  std::string day;
  const auto what = [&] {
    person_row(frame, person);
    save_state(frame);
    // Typed and tapped are one list.
    chosen = row_list_field(frame, rows_field, tr("rows.which"), block.block->rows);
    RowGrid(frame, *block.block, rows, chosen).draw();
    small_print(frame.ui, tr("rows.signs"));
    Form form(frame);
    day = form.date({.id = "rows/day", .label = tr("rows.day"), .value = ""});
  };
  const auto known = [&] {
    doubts(frame, rows);
    entries(frame, block);
  };
  side_by_side(frame, what, known);
  const RowsToKeep keep = rows_to_keep(frame, chosen, person, day);
  bool kept = frame.bar.action == "keep" && keep_rows(frame, keep);
  finish(frame);
  kept = ask_about_rows(frame, keep) || kept;
  if (kept) frame.want(SetField{rows_field, ""});  // the next person's begin with none
}

}  // namespace

void draw_rows(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  const std::string person = frame.typed(person_field);
  const bool chosen = frame.season.person(person) && block && block->block;
  std::vector<widgets::Action> actions;
  if (chosen) actions = {{.id = "keep", .label = tr("rows.keep_all")}};
  open(frame, {.key = "rows", .title = tr("rows.page"), .actions = actions, .full = true});
  if (!block || !block->block) {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("block.waiting")});
    return finish(frame);
  }
  const advice::RowsPruned& rows = frame.cache.rows(frame.season, block->id, frame.now_ms());
  if (chosen) return draw_for_person(frame, *block, rows, person);
  side_by_side(frame, [&] { choose_person(frame, rows); },
               [&] {
                 doubts(frame, rows);
                 entries(frame, *block);
               });
  finish(frame);
}

}  // namespace nthtree::screens
