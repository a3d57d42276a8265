// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/rows.h"

#include "orchard/row_list.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr const char* row_question = "row_doubt";
constexpr std::size_t doubts_told = 3;

// A correction is asked about no more than the entry it corrects was.
std::vector<advice::RowDoubt> doubts_of(Frame& frame, const RowsToKeep& keep) {
  if (keep.replaces) return {};
  return advice::doubts_before(frame.season, keep.rows, frame.session.person, frame.now_ms());
}

void save(Frame& frame, const RowsToKeep& keep) {
  SaveRecords records;
  records.bodies.assign(keep.rows.begin(), keep.rows.end());
  records.replaces = keep.replaces;
  records.from = keep.from;
  frame.want(records);
}

struct ListField {
  const std::string& id;
  const std::string& label;
  int most = 0;
  const char* unreadable = "";  // what is said of a text that is no list
};

std::vector<int> list_field(Frame& frame, const ListField& field) {
  const std::string typed = frame.typed(field.id);
  const auto list = orchard::parse_row_list(typed, field.most);
  std::string error;
  if (!list) {
    error = tr(list.error().id == "out_of_range" ? "rows.error.range" : field.unreadable,
               {{"value", list.error().where}, {"high", whole(field.most)}});
  }
  if (auto text = text_field(frame.ui, {.id = field.id, .label = field.label, .value = typed,
                                        .hint = tr("rows.which_hint"), .error = error})) {
    frame.want(SetField{field.id, *text});
  }
  return list ? *list : std::vector<int>{};
}

}  // namespace

std::vector<int> row_list_field(Frame& frame, const std::string& id, const std::string& label,
                                int most) {
  return list_field(frame, {id, label, most, "rows.error.list"});
}

std::vector<int> tree_list_field(Frame& frame, const std::string& id, const std::string& label,
                                 int most) {
  return list_field(frame, {id, label, most, "planting.error.list"});
}

std::string row_text(const ledger::RowDone& done) {
  std::string text = tr("row_n", {{"n", whole(done.row)}});
  if (done.side) {
    text += ", " + tr(*done.side == ledger::RowSide::left ? "rows.left" : "rows.right");
  }
  if (!done.first_tree && !done.last_tree) return text;
  const int first = done.first_tree.value_or(1);
  if (!done.last_tree) return text + ", " + tr("rows.from_tree", {{"n", whole(first)}});
  return text + ", " +
         tr("rows.trees", {{"first", whole(first)}, {"last", whole(*done.last_tree)}});
}

std::string row_doubt_text(const ledger::Season& season, const advice::RowDoubt& doubt) {
  using Doubt = advice::RowDoubt::Kind;
  const char* key = "rows.doubt.none";
  switch (doubt.kind) {
    case Doubt::no_such_row: break;
    case Doubt::row_twice:
      key = doubt.person == doubt.other_person ? "rows.doubt.again" : "rows.doubt.twice";
      break;
    case Doubt::too_many_trees: key = "rows.doubt.many"; break;
    case Doubt::too_fast: key = "rows.doubt.fast"; break;
  }
  const auto name = [&](const std::string& id) {
    return id.empty() ? std::string() : person_text(season, id);
  };
  return tr(key, {{"row", whole(doubt.row)},
                  {"name", name(doubt.person)},
                  {"other", name(doubt.other_person)},
                  {"trees", whole(doubt.trees)},
                  {"day", doubt.day != 0 ? date_text(doubt.day) : ""},
                  {"block", doubt.other_block.empty() ? "" : block_text(season, doubt.other_block)},
                  {"other_row", whole(doubt.other_row)},
                  {"minutes", whole(doubt.minutes)}});
}

bool keep_rows(Frame& frame, const RowsToKeep& keep) {
  if (keep.rows.empty()) return false;
  const bool sure = doubts_of(frame, keep).empty();
  sure ? save(frame, keep) : frame.want(Ask{row_question});
  return sure;
}

bool ask_about_rows(Frame& frame, const RowsToKeep& keep) {
  if (frame.session.asking != row_question) return false;
  std::string text;
  std::size_t told = 0;
  for (const advice::RowDoubt& doubt : doubts_of(frame, keep)) {
    if (++told > doubts_told) break;
    text += (text.empty() ? "" : " ") + row_doubt_text(frame.season, doubt);
  }
  const bool kept =
      asked(frame, row_question, tr("rows.doubt.title"), text, tr("rows.doubt.keep"), tr("no"));
  if (kept) save(frame, keep);
  return kept;
}

}  // namespace nthtree::screens
