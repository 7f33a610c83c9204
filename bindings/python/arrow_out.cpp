#include "arrow_out.hpp"

namespace vitalproof::python {

namespace {

struct held_schema {
    std::string name;
    std::string format;
    std::vector<ArrowSchema> children;
    std::vector<ArrowSchema*> places;
};

struct held_array {
    std::shared_ptr<const void> owner;
    std::vector<const void*> buffers;
    std::vector<ArrowArray> children;
    std::vector<ArrowArray*> places;
};

/// Releases the children that nobody has taken over, then what held them.
template <class Struct, class Held>
void release(Struct* of) {
    auto* held = static_cast<Held*>(of->private_data);
    for (Struct* child : held->places) {
        if (child->release != nullptr) {
            child->release(child);
        }
    }
    of->release = nullptr;
    delete held;  // NOLINT: the interface hands it over as a bare pointer
}

/// Whether a struct can have nulls of its own; ours have none, and no buffer for them.
constexpr std::int64_t no_count = -1;

}  // namespace

void export_schema(const outgoing_field& field, ArrowSchema& to) {
    auto held = std::make_unique<held_schema>();
    held->name = field.name;
    held->format = field.format;
    held->children.resize(field.children.size());
    for (std::size_t i = 0; i < field.children.size(); ++i) {
        export_schema(field.children[i], held->children[i]);
        held->places.push_back(&held->children[i]);
    }
    to = {.format = held->format.c_str(),
          .name = held->name.c_str(),
          .metadata = nullptr,
          .flags = arrow_nullable,
          .n_children = static_cast<std::int64_t>(held->places.size()),
          .children = held->places.data(),
          .dictionary = nullptr,
          .release = &release<ArrowSchema, held_schema>,
          .private_data = nullptr};
    to.private_data = held.release();
}

void export_array(const outgoing_array& array, const std::shared_ptr<const void>& owner,
                  ArrowArray& to) {
    auto held = std::make_unique<held_array>();
    held->owner = owner;
    held->buffers = array.buffers;
    held->children.resize(array.children.size());
    for (std::size_t i = 0; i < array.children.size(); ++i) {
        export_array(array.children[i], owner, held->children[i]);
        held->places.push_back(&held->children[i]);
    }
    const bool may_have_nulls = !held->buffers.empty() && held->buffers[0] != nullptr;
    to = {.length = array.length,
          .null_count = may_have_nulls ? no_count : 0,
          .offset = 0,
          .n_buffers = static_cast<std::int64_t>(held->buffers.size()),
          .n_children = static_cast<std::int64_t>(held->places.size()),
          .buffers = held->buffers.data(),
          .children = held->places.data(),
          .dictionary = nullptr,
          .release = &release<ArrowArray, held_array>,
          .private_data = nullptr};
    to.private_data = held.release();
}

}  // namespace vitalproof::python
