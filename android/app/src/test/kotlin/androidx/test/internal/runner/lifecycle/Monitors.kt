package androidx.test.internal.runner.lifecycle

import android.app.Activity
import android.app.Application
import androidx.test.runner.lifecycle.ActivityLifecycleCallback
import androidx.test.runner.lifecycle.ActivityLifecycleMonitor
import androidx.test.runner.lifecycle.ApplicationLifecycleMonitor
import androidx.test.runner.lifecycle.ApplicationStage
import androidx.test.runner.lifecycle.Stage

/** Keeps the stage of each activity. */
class ActivityLifecycleMonitorImpl : ActivityLifecycleMonitor {
    private val stages = LinkedHashMap<Activity, Stage>()
    private val callbacks = LinkedHashSet<ActivityLifecycleCallback>()

    fun signalLifecycleChange(stage: Stage, activity: Activity) {
        stages[activity] = stage
        callbacks.toList().forEach { it.onActivityLifecycleChanged(activity, stage) }
    }

    override fun addLifecycleCallback(callback: ActivityLifecycleCallback) {
        callbacks += callback
    }

    override fun removeLifecycleCallback(callback: ActivityLifecycleCallback) {
        callbacks -= callback
    }

    override fun getLifecycleStageOf(activity: Activity): Stage =
        stages[activity] ?: Stage.PRE_ON_CREATE

    override fun getActivitiesInStage(stage: Stage): Collection<Activity> =
        stages.filterValues { it == stage }.keys
}

/** Ignores the stage of the application. */
class ApplicationLifecycleMonitorImpl : ApplicationLifecycleMonitor {
    @Suppress("UNUSED_PARAMETER")
    fun signalLifecycleChange(application: Application, stage: ApplicationStage) = Unit
}
