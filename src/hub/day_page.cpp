// SPDX-License-Identifier: Apache-2.0
#include "hub/day_page.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/current.h"

namespace nthtree::hub {
namespace {

struct Words {
  const char *day, *earlier, *later, *block, *person, *trees, *mean, *least, *most, *recounts,
      *rows, *told, *harder, *lighter, *on_target, *nothing, *note, *language;
};
constexpr Words english = {
    "The day", "Day before", "Day after", "Block", "Person", "Trees counted", "Left per tree, mean",
    "Least", "Most", "Re-counts", "Rows pruned", "Told", "harder", "lighter", "on target",
    "Nothing was counted on this day.",
    "As counted, without the lead's correction of what counters miss. Verdicts are in the app.",
    "en"};
constexpr Words spanish = {
    "El día", "Día anterior", "Día siguiente", "Bloque", "Persona", "Árboles contados",
    "Quedan por árbol, promedio", "Mínimo", "Máximo", "Reconteos", "Hileras podadas", "Se le dijo",
    "podar más", "podar menos", "en la meta", "Ese día no se contó nada.",
    "Como se contó, sin la corrección de lo que se pasa por alto. Los veredictos están en la app.",
    "es"};
constexpr Words french = {
    "La journée", "Jour précédent", "Jour suivant", "Parcelle", "Personne", "Arbres comptés",
    "Laissés par arbre, moyenne", "Minimum", "Maximum", "Recomptages", "Rangs taillés", "Dit",
    "tailler plus", "tailler moins", "dans la cible", "Rien n’a été compté ce jour-là.",
    "Comme compté, sans la correction de ce qui échappe. Les verdicts sont dans l’application.",
    "fr"};

const Words& words_of(const std::string& language) {
  return language == "es" ? spanish : language == "fr" ? french : english;
}

std::string html(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      default: out += c;
    }
  }
  return out;
}

struct Line {  // of one person in one block
  std::vector<int> spurs;
  int recounts = 0;
  std::vector<int> rows;
  std::vector<std::string> told;
};
using Lines = std::map<std::string, Line>;  // by person

std::string told_text(const ledger::Advice& advice, const Words& words) {
  const char* word = advice.direction == ledger::Direction::harder    ? words.harder
                     : advice.direction == ledger::Direction::lighter ? words.lighter
                                                                      : words.on_target;
  const int by = advice.spurs_per_tree_to_change;
  return by > 0 ? base::print("%s %d", word, by) : word;
}

Lines lines_of(const ledger::Season& season, const ledger::BlockSeason& block,
               const DayAsked& asked, const Words& words) {
  Lines lines;
  // A day is shown whole, whether or not its season was closed since.
  const auto each = [&](const auto& entries, auto&& note) {
    for (const auto& entry : entries) {
      if (ledger::stands(entry) && season.day_of(entry.at_ms()) == asked.day) note(entry);
    }
  };
  each(block.tag_counts, [&](const auto& e) { lines[e.author].spurs.push_back(e.body.spurs); });
  each(block.part_counts, [&](const auto& e) {
    lines[e.author].spurs.push_back(static_cast<int>(std::lround(e.body.counted.on_tree())));
  });
  each(block.check_counts, [&](const auto& e) { ++lines[e.author].recounts; });
  each(block.part_checks, [&](const auto& e) { ++lines[e.author].recounts; });
  each(block.rows_done, [&](const auto& e) {
    lines[e.body.person.empty() ? e.author : e.body.person].rows.push_back(e.body.row);
  });
  each(block.advice, [&](const auto& e) {
    lines[e.body.person].told.push_back(told_text(e.body, words));
  });
  return lines;
}

std::string name_of(const ledger::Season& season, const std::string& id) {
  const orchard::Person* person = season.person(id);
  return person ? person->name : id;
}

template <typename T, typename Text>
std::string joined(const std::vector<T>& items, Text&& text) {
  std::string list;
  for (const T& item : items) list += (list.empty() ? "" : ", ") + text(item);
  return list;
}

std::string cell(const std::string& text, bool number = false) {
  return (number ? "<td class=\"n\">" : "<td>") + html(text) + "</td>";
}

std::string row_of(const std::string& name, Line line) {
  std::sort(line.spurs.begin(), line.spurs.end());
  std::sort(line.rows.begin(), line.rows.end());
  double sum = 0;
  for (const int spurs : line.spurs) sum += spurs;
  const std::size_t n = line.spurs.size();
  const auto number = [](auto value) { return std::to_string(value); };
  const auto if_any = [&](long value) { return n > 0 ? number(value) : std::string(); };
  return "<tr><th scope=\"row\">" + html(name) + "</th>" + cell(number(n), true) +
         cell(if_any(std::lround(n > 0 ? sum / static_cast<double>(n) : 0)), true) +
         cell(if_any(n > 0 ? line.spurs.front() : 0), true) +
         cell(if_any(n > 0 ? line.spurs.back() : 0), true) +
         cell(line.recounts > 0 ? number(line.recounts) : "", true) +
         cell(joined(line.rows, number)) +
         cell(joined(line.told, [](const std::string& told) { return told; })) + "</tr>\n";
}

std::string table_of(const ledger::Season& season, const ledger::BlockSeason& block,
                     const Lines& lines, const Words& words) {
  const std::string title = block.block ? block.block->name : block.id;
  std::string out = "<section><h2>" + html(title) + "</h2>\n<table><thead><tr>";
  const std::pair<const char*, bool> heads[] = {
      {words.person, false}, {words.trees, true}, {words.mean, true}, {words.least, true},
      {words.most, true}, {words.recounts, true}, {words.rows, false}, {words.told, false}};
  for (const auto& [head, number] : heads) {
    out += std::string(number ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">") + head +
           "</th>";
  }
  out += "</tr></thead><tbody>\n";
  for (const auto& [person, line] : lines) out += row_of(name_of(season, person), line);
  return out + "</tbody></table></section>\n";
}

std::string date_of(std::int64_t day) {
  return base::iso_minute(day * base::day_ms).substr(0, 10);
}

std::string link_to(std::int64_t day, const char* label, const Words& words) {
  return "<a href=\"/v1/day?date=" + date_of(day) + "&amp;lang=" + words.language + "\">" + label +
         "</a>\n";
}

}  // namespace

// As web/paper.css dresses the app's papers: rules of hair and line, figures below one another, no
// boxes; larger on the office's screen. The app's own type is there where the machine has it.
const char* const day_page_style = R"(@page { margin: 15mm 14mm 17mm;
  @bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; } }
html { font: 8.5pt/1.35 "DejaVu Sans Condensed", "DejaVu Sans", system-ui, sans-serif; color: #000;
  background: #fff; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
body { margin: 0; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; align-items: baseline;
  gap: 0 8mm; border-bottom: 1.2pt solid #000; margin-bottom: 4mm; }
h1 { font-size: 17pt; line-height: 1.2; margin: 0 0 1.5mm; overflow-wrap: anywhere; }
header p { font-size: 11pt; margin: 0 0 1mm; white-space: nowrap; }
h2 { font-size: 11pt; margin: 5mm 0 1.5mm; break-after: avoid; }
section { break-inside: avoid; }
table { width: 100%; border-collapse: collapse; margin: 0 0 2mm; }
thead { display: table-header-group; } tr { break-inside: avoid; }
thead th { font-size: 7.5pt; line-height: 1.2; vertical-align: bottom;
  border-bottom: 0.8pt solid #000; }
th, td { text-align: left; vertical-align: top; padding: 1mm 2.2mm 1mm 0;
  overflow-wrap: break-word; }
tbody th, td { border-bottom: 0.3pt solid #777; }
tbody th { min-width: 6em; overflow-wrap: anywhere; }
th:last-child, td:last-child { padding-right: 0; }
.n { text-align: right; font-variant-numeric: tabular-nums; }
nav a { display: inline-block; padding: .7em 1em .7em 0; }
footer { margin-top: 6mm; padding-top: 1.5mm; border-top: 0.3pt solid #777; font-size: 7.5pt; }
@media screen { html { font-size: 11pt; } thead th, footer { font-size: 9.5pt; }
  h2 { font-size: 13pt; } body { max-width: 60em; margin: 1.5em auto; padding: 0 1em; }
  section { overflow-x: auto; } }
@media print { nav { display: none; } }
)";

std::string day_page(const ledger::Season& season, const DayAsked& asked) {
  const Words& words = words_of(asked.language);
  std::string tables;
  for (const auto& [id, block] : season.blocks()) {
    const Lines lines = lines_of(season, block, asked, words);
    if (!lines.empty()) tables += table_of(season, block, lines, words);
  }
  const std::string title = season.farm().name + ", " + date_of(asked.day);
  return std::string("<!doctype html>\n<html lang=\"") + words.language +
         "\"><head><meta charset=\"utf-8\"><title>" + html(title) +
         "</title><meta name=\"viewport\" content=\"width=device-width\">" +
         "<link rel=\"stylesheet\" href=\"/v1/day.css\"></head><body>\n<header><h1>" +
         html(season.farm().name) + "</h1><p>" + words.day + ", " + date_of(asked.day) +
         "</p></header>\n<nav>" + link_to(asked.day - 1, words.earlier, words) +
         link_to(asked.day + 1, words.later, words) + "</nav>\n" +
         (tables.empty() ? std::string("<p>") + words.nothing + "</p>\n" : tables) + "<footer>" +
         html(words.note) + "</footer>\n</body></html>\n";
}

}  // namespace nthtree::hub
