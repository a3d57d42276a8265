// SPDX-License-Identifier: Apache-2.0
#include "hub/day_page.h"

#include <algorithm>
#include <cmath>
#include <map>
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
  const auto each = [&](const auto& entries, auto&& note) {
    for (const auto& entry : ledger::current(entries)) {
      if (season.day_of(entry.at_ms()) == asked.day) note(entry);
    }
  };
  each(block.tag_counts, [&](const auto& e) { lines[e.author].spurs.push_back(e.body.spurs); });
  each(block.check_counts, [&](const auto& e) { ++lines[e.author].recounts; });
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
  for (const char* head : {words.person, words.trees, words.mean, words.least, words.most,
                           words.recounts, words.rows, words.told}) {
    out += std::string("<th scope=\"col\">") + head + "</th>";
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

const char* const day_page_style = R"(@page { margin: 14mm; }
body { font: 11pt/1.35 system-ui, sans-serif; color: #000; background: #fff; margin: 1.5em auto;
  max-width: 60em; padding: 0 1em; }
h1 { font-size: 1.5em; margin: 0; } h2 { font-size: 1.15em; margin: 1.2em 0 .3em; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #777; padding: .25em .45em; text-align: left; vertical-align: top;
  overflow-wrap: break-word; }
thead th { background: #eee; } .n { text-align: right; }
tbody th { font-weight: 600; min-width: 6em; overflow-wrap: anywhere; }
section { overflow-x: auto; }
section, tr { break-inside: avoid; } thead { display: table-header-group; }
nav a { display: inline-block; padding: .7em 1em .7em 0; }
@media print { nav { display: none; } body { margin: 0; padding: 0; max-width: none;
  font-size: 9.5pt; } section { overflow-x: visible; } }
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
         (tables.empty() ? std::string("<p>") + words.nothing + "</p>\n" : tables) + "<p>" +
         html(words.note) + "</p>\n</body></html>\n";
}

}  // namespace nthtree::hub
