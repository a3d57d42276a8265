// SPDX-License-Identifier: Apache-2.0
#include "screens/season/papers.h"

#include <array>
#include <map>
#include <set>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/lead/brief_words.h"
#include "screens/manager/day_report.h"
#include "screens/manager/review_parts.h"
#include "screens/parts/paper.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/season_words.h"
#include "screens/season/tag_code.h"

namespace nthtree::screens {
namespace {

std::string sentence_of(const std::string& text) { return "<p>" + html(text) + "</p>\n"; }

std::string titled(const std::string& title, const std::vector<std::string>& lines) {
  if (lines.empty()) return "";
  std::string out = "<section class=\"short\"><h2>" + html(title) + "</h2>\n<ul>\n";
  for (const std::string& line : lines) out += "<li>" + html(line) + "</li>\n";
  return out + "</ul></section>\n";
}

std::string date_or_none(const std::string& iso) {
  std::int64_t at_ms = 0;
  return base::parse_iso(iso, at_ms) ? date_year_text(at_ms / base::day_ms) : "";
}

std::string goal_table(Frame& frame, const std::string& id, const orchard::Block& block) {
  const advice::BlockTarget* target = frame.cache.target(frame.season, id);
  PaperTable table(tr("papers.goal"), {{tr("edit.variety")},
                                       {tr("edit.rows"), true},
                                       {tr("edit.trees_per_row"), true},
                                       {tr("edit.insurance"), true},
                                       {tr("edit.leave"), true},
                                       {tr("when.expected"), true}});
  table.add({block.variety, whole(block.rows), whole(block.trees_per_row),
             number(block.target.insurance_factor, 2),
             target ? whole(target->target.spurs_to_leave_per_tree.value) : "",
             date_or_none(block.green_tip_date)});
  return table.text();
}

std::string state_lines(Frame& frame, const std::string& id, const orchard::Block& block) {
  std::vector<std::string> lines;
  const advice::Acceptance& done = frame.cache.acceptance(frame.season, id, frame.now_ms());
  if (done.counts > 0 && done.target > 0) {
    lines.push_back(tr("manager.left_of", {{"n", whole(done.mean.value)},
                                           {"target", whole(done.target)}}));
  }
  lines.push_back(reason_text(done.reason));
  const advice::WhenToPrune& when = frame.cache.when_to_prune(
      frame.season, id, variety_of(frame, block), frame.now_ms());
  lines.push_back(tr(std::string("when.what.") + advice::name_of(when.what)) + ". " +
                  reasons_text(when.reasons));
  return titled(tr("papers.state"), lines);
}

// Trees and bands, and nobody's name.
std::string counted_table(const ledger::BlockSeason& block) {
  PaperTable table(tr("papers.counted"), {{tr("row"), true},
                                          {tr("tree"), true},
                                          {tr("count.title.tag"), true},
                                          {tr("count.title.check"), true},
                                          {tr("count.title.clusters"), true},
                                          {tr("count.title.harvest"), true}});
  std::map<orchard::TreeAddress, std::array<std::string, 4>> trees;
  const auto put = [&](const auto& entries, std::size_t column, auto number_of_body) {
    for (const auto& entry : ledger::current(entries)) {
      trees[entry.body.tree][column] = whole(number_of_body(entry.body));
    }
  };
  put(block.part_counts, 0, [](const auto& b) { return b.counted.on_tree(); });
  put(block.tag_counts, 0, [](const auto& b) { return b.spurs; });
  put(block.part_checks, 1, [](const auto& b) { return b.counted.on_tree(); });
  put(block.check_counts, 1, [](const auto& b) { return b.spurs; });
  put(block.part_clusters, 2, [](const auto& b) { return b.counted.on_tree(); });
  put(block.cluster_counts, 2, [](const auto& b) { return b.floral_clusters; });
  put(block.harvest_counts, 3, [](const auto& b) { return b.fruits; });
  for (const auto& [tree, n] : trees) {
    table.add({whole(tree.row), whole(tree.tree), n[0], n[1], n[2], n[3]});
  }
  return table.text();
}

std::string one_tag(const ledger::Season& season, const std::string& id,
                    const orchard::TreeAddress& tree) {
  return "<div class=\"tag\"><div class=\"qr\" data-qr=\"" + html(tag_code(season, id, tree)) +
         "\"></div><div><strong>" + html(tree_text(tree)) + "</strong><br>" +
         html(block_text(season, id)) + "<br>" + html(season.farm().name) +
         "<p class=\"write\"></p></div></div>\n";
}

void paper_row(Frame& frame, const char* id, const std::string& label, const std::string& detail,
               std::string (*paper)(Frame&, const std::string&)) {
  if (choice_row(frame.ui, {.id = id, .label = label, .detail = detail, .arrow = false,
                            .glyph = Glyph::print})) {
    frame.want(PrintReport{paper(frame, frame.block_id())});
  }
}

std::string paper_of_day(Frame& frame, const std::string&) {
  return day_report(frame.season,
                    frame.cache.review(frame.season, shown_day(frame), frame.now_ms()));
}

std::string paper_of_season(Frame& frame, const std::string&) { return season_paper(frame); }

}  // namespace

std::vector<orchard::TreeAddress> tagged_trees(const ledger::BlockSeason& block) {
  std::set<orchard::TreeAddress> trees;
  for (const auto& entry : ledger::current(block.tag_counts)) trees.insert(entry.body.tree);
  for (const auto& entry : ledger::current(block.part_counts)) trees.insert(entry.body.tree);
  if (trees.empty() && block.block && block.block->stride > 0) {
    const std::int64_t all = block.block->trees();
    for (std::int64_t i = block.block->stride_start - 1; i < all && trees.size() < tags_max;
         i += block.block->stride) {
      trees.insert(block.block->address_of(i));
    }
  }
  std::vector<orchard::TreeAddress> some(trees.begin(), trees.end());
  if (some.size() > tags_max) some.resize(tags_max);
  return some;
}

std::string block_paper(Frame& frame, const std::string& id) {
  const ledger::BlockSeason* block = frame.season.block(id);
  if (!block || !block->block) return "";
  return paper_head(frame.season, block_text(frame.season, id) + ", " +
                                      date_year_text(frame.today())) +
         goal_table(frame, id, *block->block) + state_lines(frame, id, *block->block) +
         counted_table(*block) + paper_foot();
}

std::string brief_paper(Frame& frame, const std::string& id) {
  const advice::Brief& brief = frame.cache.brief(frame.season, id, frame.now_ms());
  std::string page = paper_head(frame.season, labelled(tr("brief.title"),
                                                       block_text(frame.season, id)));
  page += "<section class=\"brief\">\n";
  for (const std::string& line : brief_lines(frame, brief)) page += sentence_of(line);
  page += "</section>\n";
  std::vector<std::string> notes, cautions;
  for (const advice::Reason& note : brief.notes) notes.push_back(reason_text(note));
  for (const advice::Reason& caution : brief.cautions) cautions.push_back(reason_text(caution));
  return page + titled(tr("brief.notes"), notes) + titled(tr("cautions.title"), cautions) +
         paper_foot();
}

std::string tags_paper(Frame& frame, const std::string& id) {
  const ledger::BlockSeason* block = frame.season.block(id);
  if (!block || !block->block) return "";
  std::string page = "<div class=\"tags\">\n";
  for (const orchard::TreeAddress& tree : tagged_trees(*block)) {
    page += one_tag(frame.season, id, tree);
  }
  return page + "</div>\n";
}

void draw_papers(Frame& frame) {
  open(frame, {.key = "papers", .title = tr("papers.title")});
  paragraph(frame.ui, tr("papers.text"));
  paper_row(frame, "paper/day", tr("papers.day"), "", paper_of_day);
  paper_row(frame, "paper/season", tr("papers.season"), tr("years.title"), paper_of_season);
  if (frame.settings()) {
    block_line(frame);
    paper_row(frame, "paper/block", tr("papers.block"), tr("papers.block_hint"), block_paper);
    paper_row(frame, "paper/brief", tr("home.brief"), "", brief_paper);
    const int trees = static_cast<int>(tagged_trees(*frame.block()).size());
    paper_row(frame, "paper/tags", tr("papers.tags"), tr_count("papers.tags_hint", trees),
              tags_paper);
  } else {
    menu_row(frame, "choose", ScreenId::choose_block);
  }
  small_print(frame.ui, tr("papers.fair"));
  finish(frame);
}

}  // namespace nthtree::screens
