import org.jetbrains.kotlin.gradle.dsl.JvmTarget

plugins {
    alias(libs.plugins.android.application)
    alias(libs.plugins.kotlin.android)
}

/** The checkout's top, where the Rust workspace lies. */
val top = rootDir.resolve("..")

/** The Kotlin face of the library, written anew by each build and never committed. */
val generatedKotlin = layout.buildDirectory.dir("generated/holebook")

/** The library for each kind of phone. */
val generatedLibraries = layout.buildDirectory.dir("rustLibraries")

android {
    namespace = "org.holebook.app"
    compileSdk = 36
    // From r28 on the NDK links for phones with memory pages of 16 KB by itself.
    ndkVersion = "28.2.13676358"

    defaultConfig {
        applicationId = "org.holebook.app"
        minSdk = 26
        targetSdk = 36
        versionCode = 1
        versionName = "0.1.0"
        ndk { abiFilters += listOf("arm64-v8a", "armeabi-v7a", "x86_64") }
    }

    buildTypes {
        release {
            isMinifyEnabled = true
            isShrinkResources = true
            proguardFiles(getDefaultProguardFile("proguard-android-optimize.txt"), "proguard-rules.pro")
        }
    }

    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }

    sourceSets["main"].jniLibs.srcDir(generatedLibraries)

    // Tests are the Maven build's, over the library of the machine that builds.
    sourceSets["test"].java.setSrcDirs(emptyList<String>())
    sourceSets["test"].kotlin.setSrcDirs(emptyList<String>())
}

kotlin {
    compilerOptions { jvmTarget.set(JvmTarget.JVM_17) }
    sourceSets["main"].kotlin.srcDir(generatedKotlin.map { it.dir("org") })
}

dependencies {
    // The AAR carries JNA's own library for each kind of phone.
    implementation("${libs.jna.get()}@aar")
}

val generateBindings by tasks.registering(Exec::class) {
    description = "Writes the Kotlin face of the Rust library."
    workingDir = top
    commandLine("bash", "bindings/mobile/generate", "kotlin", generatedKotlin.get().asFile.path)
    outputs.dir(generatedKotlin)
    outputs.upToDateWhen { false } // cargo knows what is up to date
}

val buildLibraries by tasks.registering(Exec::class) {
    description = "Builds the Rust library for each kind of phone with cargo-ndk."
    workingDir = top
    environment("ANDROID_NDK_HOME", androidComponents.sdkComponents.ndkDirectory.get().asFile.path)
    commandLine(
        "cargo", "ndk", "--platform", "26", "-t", "arm64-v8a", "-t", "armeabi-v7a", "-t", "x86_64",
        "-o", generatedLibraries.get().asFile.path,
        // One kind of library alone, for where cargo makes two at once it leaves out what makes this one small; see the root Cargo.toml.
        "rustc", "--profile", "phone", "--locked", "-p", "holebook-mobile", "--lib", "--crate-type", "cdylib",
    )
    outputs.dir(generatedLibraries)
    outputs.upToDateWhen { false }
}

// Both come from one build of the sources: each checks the other when it is loaded.
tasks.named("preBuild") { dependsOn(generateBindings, buildLibraries) }
