// SPDX-License-Identifier: Apache-2.0
#include "cli/text_table.h"

#include <algorithm>
#include <cstddef>

namespace nthtree::cli {
namespace {

std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xc0) != 0x80;
  }));
}

}  // namespace

TextTable::TextTable(const std::vector<std::string>& headings) {
  std::vector<std::string> first;
  for (const std::string& heading : headings) {
    const bool right = !heading.empty() && heading[0] == '>';
    right_.push_back(right);
    first.push_back(right ? heading.substr(1) : heading);
  }
  rows_.push_back(std::move(first));
}

void TextTable::row(std::vector<std::string> cells) {
  cells.resize(right_.size());
  rows_.push_back(std::move(cells));
}

std::string TextTable::text(const std::string& indent) const {
  std::vector<std::size_t> widths(right_.size(), 0);
  for (const auto& row : rows_) {
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], width_of(row[i]));
  }
  std::string text;
  for (const auto& row : rows_) {
    std::string line = indent;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const std::string padding(widths[i] - width_of(row[i]), ' ');
      line += (i ? "  " : "") + (right_[i] ? padding + row[i] : row[i] + padding);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

}  // namespace nthtree::cli
