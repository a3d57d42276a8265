// SPDX-License-Identifier: Apache-2.0
#include "screens/manager/morning_text.h"

#include <algorithm>
#include <cmath>

#include "orchard/row_list.h"
#include "screens/parts/gangs.h"
#include "screens/parts/paper.h"
#include "screens/parts/stretch.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using advice::Gang;
using Line = MorningLine::Kind;

bool is_of(const Gang& gang, const std::string& person) {
  return std::find(gang.people.begin(), gang.people.end(), person) != gang.people.end();
}

class Word {
 public:
  Word(Frame& frame, const Gang& gang, bool names) : s_(frame), gang_(gang), names_(names) {}

  std::vector<MorningLine> lines() {
    add(Line::title, tr("word.head", {{"gang", gang_text(s_.season, gang_)},
                                      {"date", date_text(s_.today() + 1)}}));
    where();
    to_leave();
    last_day();
    back();
    safety();
    return std::move(lines_);
  }

 private:
  void add(Line kind, std::string text) {
    if (!text.empty()) lines_.push_back({kind, std::move(text)});
  }
  void say(std::string text) { add(Line::text, std::move(text)); }

  void where() {
    add(Line::heading, tr("word.where"));
    const bool stays = gang_.block == gang_.block_now;
    say(tr(stays ? "word.stay" : "word.go", {{"block", block_text(s_.season, gang_.block)}}));
    const int row = s_.cache.rows(s_.season, gang_.block, s_.now_ms()).next_row;
    if (row > 0) say(tr("word.row", {{"n", whole(row)}}));
  }

  void to_leave() {
    const advice::Brief& brief = s_.cache.brief(s_.season, gang_.block, s_.now_ms());
    if (!brief.known) return;
    add(Line::heading, tr("word.leave"));
    say(tr("brief.leave", {{"n", whole(brief.spurs_to_leave.value)},
                           {"low", whole(brief.band_low)},
                           {"high", whole(brief.band_high)}}));
    if (brief.limbs_to_take > 0) {
      say(tr("brief.limbs", {{"n", number(brief.limbs_to_take, 0)},
                             {"size", s_.us_units() ? "¾ in" : "2 cm"}}));
    }
    if (brief.spurs_per_limb_to_leave > 0) {
      say(tr("brief.each_limb", {{"n", whole(brief.spurs_per_limb_to_leave)}}));
    }
  }

  // The gang's own level: each of its people by the trees counted of them.
  void last_day() {
    const auto& standings = s_.cache.standings(s_.season, gang_.block_now, s_.now_ms());
    double left = 0, counts = 0, target = 0, band = 0;
    for (const advice::Standing& one : standings.pruners) {
      if (!is_of(gang_, one.person) || !one.has_target || one.counts == 0) continue;
      left += one.counts * one.spurs_per_tree.value;
      counts += one.counts;
      target = one.target.value;
    }
    if (counts == 0) return;
    const ledger::BlockSeason* block = s_.season.block(gang_.block_now);
    band = block && block->block ? block->block->tolerance_fraction * target : 0;
    add(Line::heading, tr("word.showed"));
    say(tr("word.left", {{"left", whole(left / counts)}, {"target", whole(target)},
                         {"counts", whole(counts)}}));
    differently(left / counts - target, band, left / counts, *block->block);
    if (!names_) return;
    for (const advice::Standing& one : standings.pruners) {
      if (!is_of(gang_, one.person)) continue;
      const advice::Verdict& verdict =
          s_.cache.verdict(s_.season, gang_.block_now, one.person, s_.now_ms());
      say(labelled(person_text(s_.season, one.person), verdict_line(verdict)));
    }
  }

  void differently(double over, double band, double left, const orchard::Block& block) {
    if (std::fabs(over) < band) return say(tr("word.go_on"));
    const advice::HandTerms hands = advice::hand_terms(over, block.limbs_per_tree, left);
    const std::string spurs = whole(as_said(std::fabs(over)));
    say(tr(over > 0 ? "word.harder" : "word.lighter", {{"n", spurs}}));
    const std::string told = hands_text(hands, over > 0);
    if (!told.empty()) say(tr("verdict.hands", {{"hands", told}}));
  }

  // In the block they go to, or of their own hands: what can still be done in time.
  void back() {
    bool any = false;
    for (const advice::Stretch& one : s_.cache.going_back(s_.season, s_.now_ms()).stretches) {
      const bool acts = one.what == advice::Back::go || one.what == advice::Back::look_first;
      const bool theirs = one.block == gang_.block || is_of(gang_, one.person);
      if (!acts || !theirs || !one.in_time) continue;
      if (!any) add(Line::heading, tr("word.back"));
      any = true;
      const bool go = one.what == advice::Back::go;
      const double many = go ? as_said(one.over_target.value) : one.looks.looks;
      say(tr(go ? "word.back_go" : "word.back_look",
             {{"where", stretch_text(s_.season, one)}, {"n", whole(many)}}));
    }
  }

  void safety() {
    add(Line::heading, tr("cautions.title"));
    const advice::Brief& brief = s_.cache.brief(s_.season, gang_.block, s_.now_ms());
    for (const advice::Reason& caution : brief.cautions) say(reason_text(caution));
    say(tr("help.all"));
  }

  Frame& s_;
  const Gang& gang_;
  bool names_;
  std::vector<MorningLine> lines_;
};

}  // namespace

std::vector<MorningLine> morning_word(Frame& frame, const advice::Gang& gang, bool names) {
  return Word(frame, gang, names).lines();
}

std::string as_plain_text(const std::vector<MorningLine>& word) {
  std::string text;
  for (const MorningLine& line : word) {
    if (line.kind == Line::heading) text += "\n";
    text += line.text + "\n";
  }
  return text;
}

std::string as_paper(const std::vector<MorningLine>& word) {
  std::string page;
  for (const MorningLine& line : word) {
    const std::string text = html(line.text);
    switch (line.kind) {
      case Line::title: page += "<header><h1>" + text + "</h1></header>\n"; break;
      case Line::heading: page += "<h2>" + text + "</h2>\n"; break;
      case Line::text: page += "<p>" + text + "</p>\n"; break;
    }
  }
  return "<section class=\"word\">" + page + "</section>\n";
}

}  // namespace nthtree::screens
