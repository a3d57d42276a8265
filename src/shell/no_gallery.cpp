// SPDX-License-Identifier: Apache-2.0
// Stands in the app that is shipped, see gallery_surface.h.
#include "shell/gallery_surface.h"

namespace nthtree::shell {

std::unique_ptr<app::Surface> make_gallery(widgets::Fonts&) { return nullptr; }

}  // namespace nthtree::shell
