// SPDX-License-Identifier: Apache-2.0
// The gallery of widgets in place of the app (address #gallery), for developers and the browser
// tests. The app that is shipped is linked with no_gallery.cpp and has none: 5 KB fewer to fetch.
#pragma once

#include <memory>

#include "app/surface.h"

namespace nthtree::shell {

std::unique_ptr<app::Surface> make_gallery(widgets::Fonts& fonts);  // null where there is none

}  // namespace nthtree::shell
