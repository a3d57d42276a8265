// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/paper.h"

#include "widgets/language.h"

namespace nthtree::screens {
namespace {

// Past this a table may be split between pages, with its head on each.
constexpr std::size_t rows_kept_together = 12;
// A date or a sum as short as this is never broken over two lines.
constexpr std::size_t one_line_bytes = 11;

}  // namespace

std::string html(const std::string& text) {
  std::string out;
  for (char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      default: out.push_back(c);
    }
  }
  return out;
}

std::string paper_head(const ledger::Season& season, const std::string& title) {
  return "<header><h1>" + html(season.farm().name) + "</h1>\n<p>" + html(title) +
         "</p></header>\n";
}

std::string paper_foot() {
  return "<footer>" + html(widgets::tr("help.all")) + "</footer>\n";
}

void PaperTable::add(const std::vector<std::string>& cells) {
  rows_ += "<tr>";
  for (std::size_t i = 0; i < cells.size(); ++i) rows_ += cell("td", i, cells[i]);
  rows_ += "</tr>\n";
  ++count_;
}

std::string PaperTable::text() const {
  if (count_ == 0) return "";
  std::string out = count_ <= rows_kept_together ? "<section class=\"short\">" : "<section>";
  if (!title_.empty()) out += "<h2>" + html(title_) + "</h2>\n";
  out += "<table>\n<thead><tr>";
  for (std::size_t i = 0; i < columns_.size(); ++i) out += cell("th", i, columns_[i].head);
  return out + "</tr></thead>\n<tbody>\n" + rows_ + "</tbody></table></section>\n";
}

std::string PaperTable::cell(const char* kind, std::size_t column, const std::string& text) const {
  const PaperColumn& of = columns_[column];
  const bool one_line = text.size() <= one_line_bytes && std::string_view(kind) == "td";
  const char* look = of.numeric ? (one_line ? " class=\"n one\">" : " class=\"n\">")
                     : of.box   ? " class=\"box\">"
                                : ">";
  return std::string("<") + kind + look + html(text) + "</" + kind + ">";
}

}  // namespace nthtree::screens
