// SPDX-License-Identifier: Apache-2.0
//
// A table of words in columns for a terminal; widths count characters, not bytes.
//
//   TextTable table({"pruner", "counts"});
//   table.row({"Ana", "82"});
//   out += table.text();
#pragma once

#include <string>
#include <vector>

namespace nthtree::cli {

class TextTable {
 public:
  // A heading that begins with '>' is set to the right (numbers), without the '>'.
  explicit TextTable(const std::vector<std::string>& headings);
  void row(std::vector<std::string> cells);
  std::string text(const std::string& indent = "") const;

 private:
  std::vector<bool> right_;
  std::vector<std::vector<std::string>> rows_;  // the first holds the headings
};

}  // namespace nthtree::cli
