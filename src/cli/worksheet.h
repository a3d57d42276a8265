// SPDX-License-Identifier: Apache-2.0
//
// A page of reasoning: numbered steps, and equations with their numbers filled in, each checkable
// with a pencil. Results are the engine's own; a test works out every printed formula again and
// compares.
//
//   Worksheet sheet;
//   sheet.step("Trees in an area");
//   sheet.equation("trees a hectare", "10000 ÷ (3.66 × 0.91)", 3002.46);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::cli {

class Worksheet {
 public:
  void step(const std::string& title);
  // "  name = formula = value unit". Operators: + − × ÷ √( ) ln( ) exp( ) max( ; ), min( ; ),
  // whole( ) for rounding half up, T(x; df) for Student's cumulative distribution, t(p; df) for its
  // quantile, z(p) for the normal quantile, N(x) for the normal cumulative distribution.
  void equation(const std::string& name, const std::string& formula, double value,
                const std::string& unit = "");
  void line(const std::string& text);  // indented by two
  void block(const std::string& text);  // as it is: a table
  const std::string& text() const { return text_; }

 private:
  std::string text_;
  int steps_ = 0;
};

// "1 tree", "1200 trees" by number; `many` where it is not `one` with an s.
std::string counted(double n, const std::string& one, const std::string& many = "");

// 1 "1st", 2 "2nd", 11 "11th" …
std::string ordinal(int n);

// One more term of a sum, with its plus.
void add_term(const std::string& term, std::string& sum);

// "2026-02-04" of days since 1970.
std::string day_text(std::int64_t day);

// A number as it stands in a formula: 6 significant digits, never in powers of ten; in brackets
// where it is negative.
std::string num(double value);
// The same with ten digits, where nearly equal numbers are subtracted.
std::string precise(double value);
// As num, without brackets, for results.
std::string plain(double value);

}  // namespace nthtree::cli
