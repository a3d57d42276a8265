// SPDX-License-Identifier: Apache-2.0
//
// Tables as Markdown and lines as SVG, for the pages that show what was measured.
//
//   Table table{{"true mean", "harder", "trees"}};
//   table.add({"+22.5 %", number(0.91, 2), number(19.3, 1)});
//   std::string page = "# Verdicts\n\n" + table.markdown();
#pragma once

#include <string>
#include <vector>

namespace nthtree::oc {

std::string number(double value, int digits);
std::string percent(double share, int digits = 1);  // 0.053 → "5.3 %"
std::string signed_percent(double ratio);           // 1.225 → "+22.5 %"

struct Table {
  std::vector<std::string> head;
  std::vector<std::vector<std::string>> rows;
  void add(std::vector<std::string> row) { rows.push_back(std::move(row)); }
  std::string markdown() const;
};

struct Line {
  std::string name;
  std::vector<double> x, y;
};

struct Plot {
  std::string title, x_name, y_name;
  double x_low = 0, x_high = 1, y_low = 0, y_high = 1;
  std::vector<Line> lines;
  std::vector<double> x_marks;  // dashed uprights: the tolerance, say
  std::string svg() const;
};

}  // namespace nthtree::oc
