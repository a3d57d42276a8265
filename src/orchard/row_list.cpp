// SPDX-License-Identifier: Apache-2.0
#include "orchard/row_list.h"

#include <algorithm>
#include <set>

namespace nthtree::orchard {
namespace {

constexpr std::string_view en_dash = "–";
constexpr std::string_view blanks = " ,;\t\n";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// A whole number at the front, taken off; -1 where there is none. Stays far below overflow: what is
// too large is out of range anyway.
int take_number(std::string_view& text) {
  if (text.empty() || !is_digit(text.front())) return -1;
  int number = 0;
  while (!text.empty() && is_digit(text.front())) {
    if (number < 100000) number = 10 * number + (text.front() - '0');
    text.remove_prefix(1);
  }
  return number;
}

void skip(std::string_view& text, std::string_view of) {
  text.remove_prefix(std::min(text.find_first_not_of(of), text.size()));
}

bool take_dash(std::string_view& text) {
  std::string_view rest = text;
  skip(rest, " ");
  if (rest.substr(0, en_dash.size()) == en_dash) {
    rest.remove_prefix(en_dash.size());
  } else if (!rest.empty() && rest.front() == '-') {
    rest.remove_prefix(1);
  } else {
    return false;
  }
  skip(rest, " ");
  text = rest;
  return true;
}

}  // namespace

std::string row_list_text(const std::vector<int>& rows) {
  std::string text;
  for (std::size_t i = 0; i < rows.size();) {
    std::size_t end = i;
    while (end + 1 < rows.size() && rows[end + 1] == rows[end] + 1) ++end;
    text += (text.empty() ? "" : ", ") + std::to_string(rows[i]);
    if (end > i) text += std::string(en_dash) + std::to_string(rows[end]);
    i = end + 1;
  }
  return text;
}

base::Result<std::vector<int>> parse_row_list(std::string_view text, int rows_most) {
  std::set<int> rows;
  for (skip(text, blanks); !text.empty(); skip(text, blanks)) {
    const std::string_view before = text;
    int first = take_number(text);
    int last = take_dash(text) ? take_number(text) : first;
    if (first < 0 || last < 0) {
      return base::Error{"bad_row_list", "is no row; rows are typed as 12-18, 20",
                         std::string(before)};
    }
    if (first > last) std::swap(first, last);
    if (first < 1 || last > rows_most) {
      return base::Error{"out_of_range", "there are rows 1 to " + std::to_string(rows_most),
                         std::to_string(first < 1 ? first : last)};
    }
    for (int row = first; row <= last; ++row) rows.insert(row);
  }
  return std::vector<int>(rows.begin(), rows.end());
}

}  // namespace nthtree::orchard
