// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/sorted_table.h"

#include <algorithm>
#include <iterator>

namespace nthtree::screens {
namespace {

constexpr float cell_pads = 14;  // both sides of a cell, and a hair
constexpr float sign_w = 14;     // of the column that sorts

float longest_word(const widgets::Fonts& fonts, widgets::Type type, const std::string& text) {
  float most = 0;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    most = std::max(most, fonts.measure(type, text.substr(from, to - from)).w);
    from = to + 1;
  }
  return most;
}

}  // namespace

void SortedTable::sort(const Sorting& by) {
  if (by.column < 0 || by.column >= static_cast<int>(columns_.size())) return;
  const auto column = static_cast<std::size_t>(by.column);
  if (!columns_[column].sorts) return;
  const bool numeric = columns_[column].numeric;
  const auto before = [&](const Row& a, const Row& b) {
    const Cell& one = a.cells[column];
    const Cell& two = b.cells[column];
    return numeric ? one.number < two.number : one.text < two.text;
  };
  std::stable_sort(rows_.begin(), rows_.end(), [&](const Row& a, const Row& b) {
    return by.descending ? before(b, a) : before(a, b);
  });
}

// Without breaking a word.
float SortedTable::least_width(Frame& frame, std::size_t column) const {
  const widgets::Fonts& fonts = frame.ui.fonts();
  float most = longest_word(fonts, widgets::Type::small, columns_[column].label) + sign_w;
  for (const Row& row : rows_) {
    const auto type = column == 0 ? widgets::Type::strong : widgets::Type::body;
    most = std::max(most, longest_word(fonts, type, row.cells[column].text));
  }
  return most + cell_pads;
}

// Each line on one line, up to a bound: a long sentence may wrap.
float SortedTable::wanted_width(Frame& frame, std::size_t column) const {
  const widgets::Fonts& fonts = frame.ui.fonts();
  const float bound = 190 * frame.ui.theme().look.text_scale;
  float most = 0;
  for (const Row& row : rows_) {
    const auto type = column == 0 ? widgets::Type::strong : widgets::Type::body;
    most = std::max(most, fonts.measure(type, row.cells[column].text).w);
  }
  return std::max(least_width(frame, column), std::min(most, bound) + cell_pads);
}

std::vector<std::size_t> SortedTable::fitting(Frame& frame, std::vector<float>& widths) const {
  std::vector<std::size_t> shown;
  float least = 0;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    shown.push_back(i);
    least += least_width(frame, i);
  }
  while (least > frame.ui.width()) {
    const auto last = std::find_if(shown.rbegin(), shown.rend(),
                                   [&](std::size_t i) { return columns_[i].optional; });
    if (last == shown.rend()) break;
    least -= least_width(frame, *last);
    shown.erase(std::next(last).base());
  }
  // What is left over after every word has its room is shared out by what the lines would like.
  float wish = 0;
  for (const std::size_t i : shown) wish += wanted_width(frame, i) - least_width(frame, i);
  const float over = std::max(0.0f, frame.ui.width() - least);
  const float share = std::min(1.0f, over / std::max(1.0f, wish));
  for (const std::size_t i : shown) {
    const float words = least_width(frame, i);
    widths.push_back(words + share * (wanted_width(frame, i) - words));
  }
  return shown;
}

std::optional<std::string> SortedTable::draw(Frame& frame) {
  const auto kept = frame.session.sorted.find(id_);
  const Sorting by = kept == frame.session.sorted.end() ? Sorting{} : kept->second;
  sort(by);
  widgets::Table table{.id = id_, .label = label_, .sortable = true,
                       .descending = by.descending};
  const std::vector<std::size_t> shown = fitting(frame, table.weights);
  for (std::size_t at = 0; at < shown.size(); ++at) {
    table.header.push_back(columns_[shown[at]].label);
    table.numeric.push_back(columns_[shown[at]].numeric);
    table.unsorted.push_back(!columns_[shown[at]].sorts);
    if (static_cast<int>(shown[at]) == by.column) table.sorted_by = static_cast<int>(at);
  }
  const bool leads = !rows_.empty() && !rows_.front().id.empty();
  for (const Row& row : rows_) {
    if (leads) table.row_ids.push_back(row.id);
    std::vector<std::string> cells;
    for (const std::size_t i : shown) cells.push_back(row.cells[i].text);
    table.rows.push_back(std::move(cells));
  }
  const widgets::TableTaps taps = widgets::table(frame.ui, table);
  if (taps.column >= 0) {
    // Once more turns it round; a column of numbers begins with the most.
    const std::size_t column = shown[static_cast<std::size_t>(taps.column)];
    const bool again = static_cast<int>(column) == by.column;
    const bool descending = again ? !by.descending : columns_[column].numeric;
    frame.want(SortBy{id_, {static_cast<int>(column), descending}});
  }
  if (taps.row < 0) return std::nullopt;
  return rows_[static_cast<std::size_t>(taps.row)].id;
}

}  // namespace nthtree::screens
