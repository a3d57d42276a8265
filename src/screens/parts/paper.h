// SPDX-License-Identifier: Apache-2.0
//
// Pieces of a page to print, made on the phone without a network: plain HTML in the present
// language, no scripts. web/paper.css dresses it: our type, lines and no colour that a farm's
// printer would lose, pages numbered, no table without its head; A4 or Letter as the printer has
// it.
//
//   PaperTable table(tr("review.blocks"), {{tr("edit.name")}, {tr("review.counts"), true}});
//   table.add({"Creek", "12"});
//   frame.want(PrintReport{paper_head(season, title) + table.text() + paper_foot()});
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "ledger/season.h"

namespace nthtree::screens {

// Text as it may stand in HTML.
std::string html(const std::string& text);

// The farm's name on the left, the paper's title on the right; the line at the end.
std::string paper_head(const ledger::Season& season, const std::string& title);
std::string paper_foot();

struct PaperColumn {
  std::string head;
  bool numeric = false;
  bool box = false;  // to tick in the row
};

// One table under its heading; empty text where it has no row.
class PaperTable {
 public:
  PaperTable(std::string title, std::vector<PaperColumn> columns)
      : title_(std::move(title)), columns_(std::move(columns)) {}

  void add(const std::vector<std::string>& cells);
  std::string text() const;

 private:
  std::string cell(const char* kind, std::size_t column, const std::string& text) const;

  std::string title_;
  std::vector<PaperColumn> columns_;
  std::string rows_;
  std::size_t count_ = 0;
};

}  // namespace nthtree::screens
