// SPDX-License-Identifier: Apache-2.0
#include "widgets/theme.h"

#include <algorithm>
#include <cmath>

namespace nthtree::widgets {
namespace {

// Sun: ink of wet bark on frost. Light grounds reflect what the sun sends anyway.
Theme sun() {
  Theme t;
  const Color bark = rgb(0x1B1F1A), paper = rgb(0xFFFFFF);
  t.page = {bark, rgb(0xF1F0E9)};
  t.card = {bark, paper};
  t.bar = {rgb(0xF7F6F0), rgb(0x22382D)};
  t.quiet = {rgb(0x1C3227), rgb(0xDFE3D6)};
  t.field = {bark, paper};
  t.faint_ink = rgb(0x4A4F47);
  t.line = rgb(0xB9BCB0);
  t.focus = rgb(0xB8470A);
  t.low_sun = rgb(0xE3A52B);
  t.primary = {paper, rgb(0x1E5540)};
  t.danger = {paper, rgb(0x93172B)};
  t.pad = {paper, rgb(0x22382D)};
  t.pad_pressed = {paper, rgb(0x2B5C46)};
  t.harder = {paper, rgb(0x93172B)};
  t.lighter = {paper, rgb(0x1C4A86)};
  t.on_target = {paper, rgb(0x1E5540)};
  t.count_more = {paper, rgb(0x4B463C)};
  t.caution = {rgb(0x2A1D00), rgb(0xF7CF6B)};
  t.trouble = {rgb(0x5E0A18), rgb(0xFBE3E4)};
  t.chart_band = rgb(0xC9DCC8);
  t.chart_line = rgb(0x22382D);
  t.chart_mark = rgb(0x93172B);
  t.chart_limit = rgb(0x7A5A10);
  t.chart_grid = rgb(0xD6D8CD);
  return t;
}

// Dusk: the hour before work. Dark grounds, never pure black, so that edges stay readable.
Theme dusk() {
  Theme t;
  const Color frost = rgb(0xF2F1E8), night = rgb(0x12161A);
  t.page = {frost, night};
  t.card = {frost, rgb(0x1D242A)};
  t.bar = {frost, rgb(0x0A0D10)};
  t.quiet = {frost, rgb(0x2F3A41)};
  t.field = {frost, rgb(0x0D1114)};
  t.faint_ink = rgb(0xC3C9C4);
  t.line = rgb(0x56626A);
  t.focus = rgb(0xFFB454);
  t.low_sun = rgb(0xC98A1B);
  t.primary = {rgb(0x06150D), rgb(0x8FD3AE)};
  t.danger = {rgb(0x2B0007), rgb(0xFFB3B8)};
  t.pad = {frost, rgb(0x22382D)};
  t.pad_pressed = {frost, rgb(0x2C5340)};
  t.harder = {rgb(0x2B0007), rgb(0xFFB3B8)};
  t.lighter = {rgb(0x04152B), rgb(0xA9CBFF)};
  t.on_target = {rgb(0x06150D), rgb(0x8FD3AE)};
  t.count_more = {rgb(0x16130C), rgb(0xD4CDBD)};
  t.caution = {rgb(0x221700), rgb(0xF2C75C)};
  t.trouble = {rgb(0xFFD9DB), rgb(0x4A0F18)};
  t.chart_band = rgb(0x2E4A3B);
  t.chart_line = rgb(0xDDE5DC);
  t.chart_mark = rgb(0xFF9AA2);
  t.chart_limit = rgb(0xF2C75C);
  t.chart_grid = rgb(0x333D44);
  return t;
}

double channel(unsigned value) {
  const double c = value / 255.0;
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

}  // namespace

Theme make_theme(const Look& look) {
  Theme theme = look.dusk ? dusk() : sun();
  theme.look = look;
  theme.look.text_scale = std::clamp(look.text_scale, 1.0f, 1.6f);
  // Targets grow a little with the text, so that larger letters do not crowd their buttons.
  theme.target = 56 + 24 * (theme.look.text_scale - 1);
  return theme;
}

double relative_luminance(Color color) {
  return 0.2126 * channel(color & 0xFF) + 0.7152 * channel((color >> 8) & 0xFF) +
         0.0722 * channel((color >> 16) & 0xFF);
}

double contrast_ratio(Color a, Color b) {
  const double la = relative_luminance(a), lb = relative_luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

std::vector<NamedPair> contrast_pairs(const Theme& t) {
  return {
      {"page", t.page},
      {"card", t.card},
      {"bar", t.bar},
      {"quiet", t.quiet},
      {"field", t.field},
      {"faint on page", {t.faint_ink, t.page.back}},
      {"faint on card", {t.faint_ink, t.card.back}},
      {"page ink on band", {t.page.ink, t.chart_band}},
      {"trouble text on page", {t.look.dusk ? t.trouble.ink : t.danger.back, t.page.back}},
      {"trouble text on card", {t.look.dusk ? t.trouble.ink : t.danger.back, t.card.back}},
      {"primary", t.primary},
      {"danger", t.danger},
      {"pad", t.pad},
      {"pad pressed", t.pad_pressed},
      {"harder", t.harder},
      {"lighter", t.lighter},
      {"on target", t.on_target},
      {"count more", t.count_more},
      {"caution", t.caution},
      {"trouble", t.trouble},
  };
}

}  // namespace nthtree::widgets
