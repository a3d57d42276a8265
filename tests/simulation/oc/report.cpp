// SPDX-License-Identifier: Apache-2.0
#include "report.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace nthtree::oc {
namespace {

constexpr double width = 760, height = 420, left = 64, right = 170, top = 40, bottom = 54;
// Line styles differ by dash as well as by colour, so that the plot reads without colour.
const char* const colours[] = {"#0b3d91", "#b3261e", "#1b6e3c", "#7a4b00", "#5b2a86", "#333333"};
const char* const dashes[] = {"", "8 4", "2 3", "10 3 2 3", "5 5", "1 4"};

std::string text(double x, double y, const std::string& words, const char* anchor,
                 const char* extra = "") {
  return base::print("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\" %s>", x, y, anchor, extra) +
         words + "</text>\n";
}

}  // namespace

std::string number(double value, int digits) { return base::print("%.*f", digits, value); }
std::string percent(double share, int digits) {
  return base::print("%.*f %%", digits, 100 * share);
}
std::string signed_percent(double ratio) {
  const double p = 100 * (ratio - 1);
  return base::print(std::fabs(p - std::round(p)) < 0.05 ? "%+.0f %%" : "%+.1f %%", p);
}

std::string Table::markdown() const {
  std::string page = "|";
  for (const auto& cell : head) page += " " + cell + " |";
  page += "\n|";
  for (std::size_t i = 0; i < head.size(); ++i) page += i == 0 ? "---|" : "---:|";
  for (const auto& row : rows) {
    page += "\n|";
    for (const auto& cell : row) page += " " + cell + " |";
  }
  return page + "\n";
}

std::string Plot::svg() const {
  const auto px = [&](double x) {
    return left + (x - x_low) / (x_high - x_low) * (width - left - right);
  };
  const auto py = [&](double y) {
    const double clipped = std::clamp(y, y_low, y_high);
    return height - bottom - (clipped - y_low) / (y_high - y_low) * (height - top - bottom);
  };
  std::string s = base::print(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" "
      "font-family=\"sans-serif\" font-size=\"13\">\n<rect width=\"100%%\" height=\"100%%\" "
      "fill=\"white\"/>\n", width, height);
  s += text(left, 22, title, "start", "font-weight=\"bold\"");
  for (int i = 0; i <= 5; ++i) {
    const double y = y_low + (y_high - y_low) * i / 5, x = x_low + (x_high - x_low) * i / 5;
    s += base::print("<path d=\"M%.1f %.1fH%.1f\" stroke=\"#ccc\"/>\n", left, py(y), width - right);
    s += text(left - 8, py(y) + 4, base::print("%g", std::round(y * 1000) / 1000), "end");
    s += text(px(x), height - bottom + 20, base::print("%g", std::round(x * 1000) / 1000), "middle");
  }
  for (double mark : x_marks) {
    s += base::print("<path d=\"M%.1f %.1fV%.1f\" stroke=\"#888\" stroke-dasharray=\"3 3\"/>\n",
                     px(mark), top, height - bottom);
  }
  s += text((left + width - right) / 2, height - 12, x_name, "middle");
  s += text(left, top - 6, y_name, "start", "fill=\"#444\"");
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    const char* colour = colours[i % 6];
    const char* dash = dashes[i % 6];
    std::string points;
    for (std::size_t k = 0; k < line.x.size(); ++k) {
      points += base::print("%.1f,%.1f ", px(line.x[k]), py(line.y[k]));
    }
    s += base::print("<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2.2\" "
                     "stroke-dasharray=\"%s\" points=\"", colour, dash) + points + "\"/>\n";
    const double y = top + 14 + 20 * static_cast<double>(i);
    s += base::print("<path d=\"M%.1f %.1fh26\" stroke=\"%s\" stroke-width=\"2.2\" "
                     "stroke-dasharray=\"%s\"/>\n", width - right + 12, y - 4, colour, dash);
    s += text(width - right + 44, y, line.name, "start");
  }
  return s + "</svg>\n";
}

}  // namespace nthtree::oc
