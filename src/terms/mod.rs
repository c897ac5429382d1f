//! What a spec may say: the schema, the types of paths, help texts, and the checked tree of a build.
