// SPDX-License-Identifier: Apache-2.0
// The morning's word: a page a gang, in the gang's language, to read aloud, print, or send as text.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/manager/morning_text.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/gangs.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::size_t chosen_gang(Frame& frame, Form& form, const std::vector<advice::Gang>& gangs) {
  if (gangs.size() == 1) return 0;
  std::vector<std::string> names;
  for (const advice::Gang& gang : gangs) names.push_back(gang_text(frame.season, gang));
  const int gang = form.list("word/gang", tr("word.gang"), names, 0);
  return std::min(static_cast<std::size_t>(std::max(0, gang)), gangs.size() - 1);
}

std::string chosen_language(Form& form) {
  const std::vector<std::string> codes = widgets::languages_here();
  std::vector<std::string> names;
  int now = 0;
  for (const std::string& code : codes) {
    if (code == widgets::current_language()) now = static_cast<int>(names.size());
    names.push_back(widgets::language_name(code));
  }
  const int chosen = form.list("word/language", tr("word.language"), names, now);
  return codes[static_cast<std::size_t>(std::clamp(chosen, 0, static_cast<int>(codes.size()) - 1))];
}

void page(Frame& frame, const std::vector<MorningLine>& word) {
  frame.ui.open_card();
  for (const MorningLine& line : word) {
    switch (line.kind) {
      case MorningLine::Kind::title:
      case MorningLine::Kind::heading: heading(frame.ui, line.text); break;
      case MorningLine::Kind::text: paragraph(frame.ui, line.text); break;
    }
  }
  frame.ui.close_card(frame.ui.theme().card);
}

std::vector<MorningLine> in_language(Frame& frame, const advice::Gang& gang, bool names,
                                     const std::string& language) {
  const Spoken theirs(language);
  return morning_word(frame, gang, names);
}

void print_all(Frame& frame, const std::vector<advice::Gang>& gangs, bool names,
               const std::string& language) {
  std::string pages;
  for (const advice::Gang& gang : gangs) {
    pages += as_paper(in_language(frame, gang, names, language));
  }
  frame.want(PrintReport{pages});
}

}  // namespace

void draw_morning_word(Frame& frame) {
  const std::vector<advice::Gang>& gangs = tomorrow_of(frame).gangs;
  std::vector<widgets::Action> actions;
  if (!gangs.empty()) {
    actions = {{.id = "send", .label = tr("word.send")},
               {.id = "print", .label = tr("word.print"), .kind = Kind::quiet}};
  }
  open(frame, {.key = "morning_word", .title = tr("word.title"), .actions = actions});
  if (gangs.empty()) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::person, .text = tr("tomorrow.empty")});
    return finish(frame);
  }
  std::vector<MorningLine> word;
  std::string language;
  bool names = false;
  const auto choices = [&] {
    Form form(frame);
    const advice::Gang& gang = gangs[chosen_gang(frame, form, gangs)];
    language = chosen_language(form);
    names = form.flag("word/names", tr("word.names"), false);
    word = in_language(frame, gang, names, language);
    if (gangs.size() > 1 && button(frame.ui, {.id = "print_all", .label = tr("word.print_all"),
                                              .kind = Kind::quiet})) {
      print_all(frame, gangs, names, language);
    }
  };
  side_by_side(frame, choices, [&] { page(frame, word); });
  if (frame.bar.action == "send") frame.want(SendText{as_plain_text(word)});
  if (frame.bar.action == "print") frame.want(PrintReport{as_paper(word)});
  finish(frame);
}

}  // namespace nthtree::screens
