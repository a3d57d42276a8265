// SPDX-License-Identifier: Apache-2.0
#include "cli/worksheet.h"

#include <cmath>

#include "base/clock.h"
#include "base/text.h"

namespace nthtree::cli {

std::string plain(double value) {
  if (!std::isfinite(value)) return "not known";
  const double size = std::fabs(value);
  if (size == 0) return "0";
  if (size >= 1e5) return base::print("%.0f", value);
  if (size < 1e-4) return base::print("%.10f", value);
  return base::print("%.6g", value);
}

std::string num(double value) { return value < 0 ? "(" + plain(value) + ")" : plain(value); }

std::string precise(double value) {
  const std::string text = base::print("%.10g", value);
  return value < 0 ? "(" + text + ")" : text;
}

std::string counted(double n, const std::string& one, const std::string& many) {
  return base::print("%.0f ", n) + (n == 1 ? one : many.empty() ? one + "s" : many);
}

std::string ordinal(int n) {
  const bool teens = n % 100 / 10 == 1;
  const char* ends[] = {"th", "st", "nd", "rd"};
  return std::to_string(n) + (teens || n % 10 > 3 ? "th" : ends[n % 10]);
}

void add_term(const std::string& term, std::string& sum) {
  sum += (sum.empty() ? "" : " + ") + term;
}

std::string day_text(std::int64_t day) {
  return base::iso_minute(day * base::day_ms).substr(0, 10);
}

void Worksheet::step(const std::string& title) {
  text_ += base::print("\n%d. %s\n", ++steps_, title.c_str());
}

void Worksheet::equation(const std::string& name, const std::string& formula, double value,
                         const std::string& unit) {
  text_ += "  " + name + " = " + formula + " = " + plain(value) +
           (unit.empty() ? "" : " " + unit) + "\n";
}

void Worksheet::line(const std::string& text) {
  text_ += (text.empty() ? "" : "  ") + text + "\n";
}

void Worksheet::block(const std::string& text) { text_ += text; }

}  // namespace nthtree::cli
